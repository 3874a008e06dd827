"""A year's requests in figures, each with the requests behind it. No database, no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median
from typing import Final
from uuid import UUID

OPEN, ANSWERED, WITHDRAWN = "open", "answered", "withdrawn"


@dataclass(frozen=True)
class Asked:
    """A request that was served or received in the year."""

    key: UUID
    kind: str
    served_on: date
    due_on: date
    state: str
    answered_on: date | None = None
    stopped: bool = False

    @property
    def days(self) -> int | None:
        """Days from service to the last release of an answered request."""
        if self.state != ANSWERED or self.answered_on is None:
            return None
        return (self.answered_on - self.served_on).days

    @property
    def in_time(self) -> bool:
        """Tell whether it was answered by the day on which it was due."""
        return self.days is not None and self.answered_on <= self.due_on  # type: ignore[operator]


@dataclass(frozen=True)
class Figure:
    """A number with the requests that it counts."""

    key: str
    words: str
    keys: tuple[UUID, ...] = field(default=())

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.keys)


@dataclass(frozen=True)
class Year:
    """The figures of a year."""

    parts: tuple[Figure, ...]
    kinds: tuple[Figure, ...]
    days: float | None

    @property
    def median_words(self) -> str:
        """The median of the days to answer, in words."""
        if self.days is None:
            return "none answered"
        return f"{self.days:g} {'day' if self.days == 1 else 'days'}"

    def part(self, key: str) -> Figure | None:
        """Return a figure by its key."""
        return next((one for one in (*self.parts, *self.kinds) if one.key == key), None)


Test = Callable[[Asked, date], bool]
_PARTS: Final[tuple[tuple[str, str, Test], ...]] = (
    ("asked", "asked", lambda one, today: True),
    ("answered", "answered", lambda one, today: one.state == ANSWERED),
    ("in-time", "answered by the day due", lambda one, today: one.in_time),
    ("late", "answered after the day due", lambda one, today: one.days is not None
     and not one.in_time),
    ("no-release", "answered without a release recorded", lambda one, today:
     one.state == ANSWERED and one.days is None),
    ("open", "open", lambda one, today: one.state == OPEN),
    ("overdue", "open and overdue", lambda one, today: one.state == OPEN and not one.stopped
     and one.due_on < today),
    ("stopped", "open with the clock stopped", lambda one, today: one.state == OPEN
     and one.stopped),
    ("withdrawn", "withdrawn", lambda one, today: one.state == WITHDRAWN),
)  # fmt: skip


def figures_of(rows: Sequence[Asked], today: date, kinds: Mapping[str, str]) -> Year:
    """Count a year's requests; `kinds` are the words of each kind, in their order."""
    parts = tuple(
        Figure(key, words, tuple(one.key for one in rows if test(one, today)))
        for key, words, test in _PARTS
    )
    by_kind = tuple(
        Figure(f"kind-{kind}", words, found)
        for kind, words in kinds.items()
        if (found := tuple(one.key for one in rows if one.kind == kind))
    )
    days = [one.days for one in rows if one.days is not None]
    return Year(parts, by_kind, float(median(days)) if days else None)
