"""What a court ruled on an exhibit, as somebody of the office noted it. No database, no clock.

The office records what was said; what follows from it is for the court and counsel.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from me_office.worded import Worded


class Ruling(Worded):
    """What was said of an exhibit."""

    ADMITTED = "admitted", "admitted"
    LIMITED = "limited", "admitted for a limited purpose"
    NOT_ADMITTED = "not admitted", "not admitted"
    RESERVED = "reserved", "ruling reserved"
    WITHDRAWN = "withdrawn", "offer withdrawn"


def wrong_ruling(
    *, ruling: str, purpose: str, objected_by: str, ground: str, on_day: date | None, today: date
) -> Mapping[str, str]:
    """Return by field what keeps this from being recorded."""
    wrong = {}
    if on_day is not None and on_day > today:
        wrong["on_day"] = "This day is still to come."
    if ruling == Ruling.LIMITED and not purpose.strip():
        wrong["purpose"] = "Say for which purpose it was admitted."
    if ruling != Ruling.LIMITED and purpose.strip():
        wrong["purpose"] = "A purpose belongs to a ruling for a limited purpose. Choose that one."
    if ground.strip() and not objected_by.strip():
        wrong["objected_by"] = "Say who objected on this ground."
    return wrong
