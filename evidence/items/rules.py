"""What holds for every item. No database, no clock."""

from __future__ import annotations

from datetime import datetime

from me_office.audit.errors import Refused


def check_collected(
    collected_at: datetime | None, handed_over_at: datetime, *, now: datetime
) -> None:
    """Refuse times that cannot follow each other. Raises Refused."""
    if collected_at is not None and collected_at > now:
        raise Refused("The time is in the future.", field="collected_at")
    if handed_over_at > now:
        raise Refused("The time of the transfer is in the future.", field="handed_over_at")
    if collected_at is not None and handed_over_at < collected_at:
        raise Refused("It was collected after this time.", field="handed_over_at")
