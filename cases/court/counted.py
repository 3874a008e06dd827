"""A due day that is counted while a request is logged; the room of the clock keeps the count."""

from __future__ import annotations

from typing import Protocol

from cases.court.models import RecordsRequest
from me_office.accounts.models import Staff
from me_office.entries import Entry

# What is said of a count beside the request, which knows the day of service and the court.
COUNTING_FIELDS = ("rule_key", "amount", "unit", "way")


class KeepsCounts(Protocol):
    """What keeps the count of a request's due day."""

    def keep_first(self, actor: Staff, asked: RecordsRequest, entry: Entry) -> RecordsRequest:
        """Count the day of a request that was logged now; `entry` holds COUNTING_FIELDS."""

    def require_same(self, asked: RecordsRequest, entry: Entry | None) -> None:
        """Refuse a retry that counts otherwise than was counted first. Raises Conflict."""


_KEEPERS: list[KeepsCounts] = []


def keep_counts_with(keeper: KeepsCounts) -> None:
    """Name what keeps the counts; the last one named does."""
    _KEEPERS.append(keeper)


def keeper() -> KeepsCounts:
    """Return what keeps the counts."""
    return _KEEPERS[-1]
