"""What a clock change may be and what follows from it. No database, no clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from me_office.entries import Entry

MOST_DAYS_LEFT = 3650


class Effect(StrEnum):
    """What a change does to a request's clock."""

    NONE = "none"
    MOVES = "moves"
    STOPS = "stops"
    RUNS = "runs"


@dataclass(frozen=True)
class Standing:
    """When a request is due, and since when its clock stands still."""

    due_on: date
    stopped_since: date | None = None


def after(
    now: Standing, effect: Effect, *, on: date, due_on: date | None, days_left: int | None
) -> Standing:
    """Return how a request stands after a change that `wrong_in_change` lets through.

    `due_on` is the new day; where the clock runs again with days left, they are plain days here and
    the caller counts them by the rule.
    """
    if effect is Effect.STOPS:
        return Standing(now.due_on, on)
    if effect is Effect.MOVES and due_on is not None:
        return Standing(due_on, now.stopped_since)
    if effect is Effect.RUNS:
        return Standing(due_on or on + timedelta(days=days_left or 0), None)
    return now


def days_left(now: Standing) -> int:
    """How many days were left when the clock stopped; 0 where it was over, or runs."""
    if now.stopped_since is None:
        return 0
    return max((now.due_on - now.stopped_since).days, 0)


def wrong_in_change(entry: Entry, now: Standing, served_on: date, today: date) -> dict[str, str]:
    """Return what cannot be so of a change, by field."""
    wrong: dict[str, str] = {}
    on, effect = entry.get("on"), entry.get("effect")
    new_due, left = entry.get("new_due_on"), entry.get("days_left")
    if on:
        if on > today:
            wrong["on"] = "This date is in the future."
        elif on < served_on:
            wrong["on"] = f"The request was served on {served_on.isoformat()}, after this day."
        elif now.stopped_since and on < now.stopped_since:
            wrong["on"] = f"The clock has stood still since {now.stopped_since.isoformat()}."
    if effect == Effect.STOPS and now.stopped_since:
        wrong["effect"] = "The clock is stopped already. Let it run again first."
    if effect == Effect.RUNS and not now.stopped_since:
        wrong["effect"] = "The clock runs: nothing stopped it."
    if effect == Effect.MOVES and not new_due:
        wrong["new_due_on"] = "Enter the new due day."
    if effect == Effect.RUNS and (new_due is None) == (left is None):
        wrong["new_due_on"] = "Enter either the new due day or the days that are left."
    if effect in {Effect.STOPS, Effect.NONE} and (new_due or left is not None):
        wrong["effect"] = "This effect has no new day. Choose another, or leave the day empty."
    if effect == Effect.MOVES and left is not None:
        wrong["days_left"] = "Days that are left belong to a clock that runs again."
    if new_due and new_due < served_on:
        wrong["new_due_on"] = "The due date cannot be before the date served or received."
    if left is not None and not 0 <= left <= MOST_DAYS_LEFT:
        wrong["days_left"] = f"Enter 0 to {MOST_DAYS_LEFT} days."
    return wrong


def wrong_in_fixed(entry: Entry, served_on: date) -> dict[str, str]:
    """Return what cannot be so of a day that was fixed or agreed, by field."""
    end = entry.get("end_on")
    if end and end < served_on:
        return {"end_on": "The due date cannot be before the date served or received."}
    return {}
