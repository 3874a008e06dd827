"""States of a date in court, how near it is, what overlaps. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import combinations
from uuid import UUID

from me_office.entries import Entry


class AppearanceState(StrEnum):
    """Where a date in court stands."""

    EXPECTED = "expected"
    MOVED = "moved"
    CANCELED = "canceled"
    DONE = "done"


_EXPECTED, _MOVED = AppearanceState.EXPECTED, AppearanceState.MOVED
_CANCELED, _DONE = AppearanceState.CANCELED, AppearanceState.DONE
# What was moved lies ahead like what is expected; it may be moved again.
AHEAD = (_EXPECTED, _MOVED)
ALLOWED_MOVES: dict[AppearanceState, frozenset[AppearanceState]] = {
    _EXPECTED: frozenset({_MOVED, _CANCELED, _DONE}),
    _MOVED: frozenset({_CANCELED, _DONE}),
    _CANCELED: frozenset(),
    _DONE: frozenset(),
}

# Where the witness is heard; a meeting beforehand is none of these and counts as no testimony.
HEARD = ("deposition", "hearing", "trial")
CALLED = {
    "prosecution": "called by the prosecution",
    "defense": "called by the defense",
    "plaintiff": "called by the plaintiff",
    "respondent": "called by the defendant",
    "court": "called by the court itself",
}
NAMES_ITS_COURT = frozenset({"hearing", "trial"})
# Within this many days what is not ready stands out. Common practice: a week to prepare.
NEAR_DAYS = 7
# The longest way and the longest single sitting that are taken as typed.
LONGEST_WAY = timedelta(days=3)
MOST_MINUTES = 24 * 60


def is_ahead(state: str) -> bool:
    """Tell whether a date still lies ahead, as far as its state says."""
    return state in AHEAD


@dataclass(frozen=True)
class Near:
    """How near a date is, in words; `urgency` is "", "attention" or "stop"."""

    words: str
    urgency: str = ""


def near(begins: datetime, now: datetime, *, ready: bool = True) -> Near:
    """Say how many days are left until a date that lies ahead, by the office's calendar.

    Both moments have the office's zone. What is not ready presses from a week before.
    """
    days = (begins.date() - now.date()).days
    if begins <= now:
        return Near("began today" if not days else f"was {_day(begins.date(), now)}", "attention")
    at = f"{begins:%H:%M}"
    if days <= 1:
        return Near(f"{'tomorrow' if days else 'today'}, {at}", "attention" if ready else "stop")
    urgency = "attention" if days < NEAR_DAYS and not ready else ""
    return Near(f"in {days} days, {begins:%a} {_day(begins.date(), now)}, {at}", urgency)


def _day(value: date, now: datetime) -> str:
    year = f" {value.year}" if value.year != now.year else ""
    return f"{value.day} {value:%b}{year}"


def minutes_words(minutes: int | None) -> str:
    """Say a length: 45 min, 2 h, 1 h 20 min; empty where none is known."""
    if minutes is None:
        return ""
    hours, rest = divmod(minutes, 60)
    return " ".join(
        part for part in (f"{hours} h" * bool(hours), f"{rest} min" * bool(rest)) if part
    )


@dataclass(frozen=True)
class Span:
    """When a person is taken by one date in court, the way there and back included."""

    key: UUID
    person: UUID
    begins: datetime
    leaves: datetime | None = None
    minutes: int | None = None

    @property
    def start(self) -> datetime:
        """When the person leaves, or when it begins."""
        return self.leaves or self.begins

    @property
    def end(self) -> datetime:
        """When the person is back: the way back as long as the way there.

        Where nobody said how long it takes, the rest of that day is taken.
        """
        if self.minutes is None:
            return self.begins.replace(hour=23, minute=59, second=59)
        return self.begins + timedelta(minutes=self.minutes) + (self.begins - self.start)


def clashes(spans: Iterable[Span]) -> dict[UUID, list[UUID]]:
    """Return, by date, the other dates of the same person that overlap it, the earliest first.

    One that begins as the other ends does not overlap it.
    """
    found: dict[UUID, list[UUID]] = {}
    for one, other in combinations(sorted(spans, key=lambda span: (span.start, span.key)), 2):
        if one.person == other.person and one.start < other.end and other.start < one.end:
            found.setdefault(one.key, []).append(other.key)
            found.setdefault(other.key, []).append(one.key)
    return found


def wrong_in_appearance(entry: Entry) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in a date in court as it was entered."""
    wrong: dict[str, list[str]] = {}
    begins, leaves = entry.get("begins_at"), entry.get("leave_at")
    if begins and leaves:
        if leaves > begins:
            wrong["leave_at"] = ["Leaving cannot be after it begins."]
        elif begins - leaves > LONGEST_WAY:
            wrong["leave_at"] = ["This is more than three days before it begins."]
    if entry.get("kind") in NAMES_ITS_COURT and not entry.get("court"):
        wrong["court"] = ["Name the court, or the body that hears it."]
    wrong.update(_wrong_minutes(entry, "expected_minutes"))
    return wrong


def wrong_in_testimony(entry: Entry, *, begins: datetime, now: datetime) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in what is said of a date that is over."""
    if begins > now:
        return {"__all__": ["It has not begun yet. Move it first if it was earlier."]}
    return _wrong_minutes(entry, "stand_minutes")


def _wrong_minutes(entry: Entry, name: str) -> dict[str, list[str]]:
    minutes = entry.get(name)
    if minutes is not None and not 1 <= minutes <= MOST_MINUTES:
        return {name: [f"Between 1 and {MOST_MINUTES:,} minutes. Record each day by itself."]}
    return {}


def why_not_kept(*, keeps_all: bool, own: bool) -> str:
    """Return why a person may not keep this date, or nothing when they may."""
    if keeps_all or own:
        return ""
    return "You may keep your own dates in court; a records clerk or a supervisor keeps all."
