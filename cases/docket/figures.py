"""A year's requests in figures, each with the requests behind it. No database, no clock."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from statistics import median
from typing import Final
from uuid import UUID

OPEN, ANSWERED, WITHDRAWN = "open", "answered", "withdrawn"


@dataclass(frozen=True)
class Sort:
    """Requests that are counted alike, and how many there are of them."""

    kind: str
    state: str
    # Days from service to the last release of an answered request.
    days: int | None = None
    in_time: bool = False
    past: bool = False
    stopped: bool = False
    count: int = 1


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

    def sort(self, today: date) -> Sort:
        """Return among which it is counted."""
        answered_on = self.answered_on if self.state == ANSWERED else None
        return Sort(
            self.kind, self.state,
            days=(answered_on - self.served_on).days if answered_on else None,
            in_time=answered_on is not None and answered_on <= self.due_on,
            past=self.due_on < today,
            stopped=self.stopped,
        )  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """A number, and the requests that it counts where they were read."""

    key: str
    words: str
    count: int
    keys: tuple[UUID, ...] = ()


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


Test = Callable[[Sort], bool]
_PARTS: Final[tuple[tuple[str, str, Test], ...]] = (
    ("asked", "asked", lambda one: True),
    ("answered", "answered", lambda one: one.state == ANSWERED),
    ("in-time", "answered by the day due", lambda one: one.days is not None and one.in_time),
    ("late", "answered after the day due", lambda one: one.days is not None and not one.in_time),
    ("no-release", "answered without a release recorded", lambda one: one.state == ANSWERED
     and one.days is None),
    ("open", "open", lambda one: one.state == OPEN),
    ("overdue", "open and overdue", lambda one: one.state == OPEN and not one.stopped
     and one.past),
    ("stopped", "open with the clock stopped", lambda one: one.state == OPEN and one.stopped),
    ("withdrawn", "withdrawn", lambda one: one.state == WITHDRAWN),
)  # fmt: skip


def figures_of(rows: Sequence[Asked], today: date, kinds: Mapping[str, str]) -> Year:
    """Count a year's requests, each named; `kinds` are the words of each kind, in their order."""
    return _year([(one.sort(today), (one.key,)) for one in rows], kinds)


def counted(sorts: Iterable[Sort], kinds: Mapping[str, str]) -> Year:
    """Count the same where only how many there are of each sort was read."""
    return _year([(one, ()) for one in sorts], kinds)


def _year(rows: Sequence[tuple[Sort, tuple[UUID, ...]]], kinds: Mapping[str, str]) -> Year:
    def figure(key: str, words: str, test: Test) -> Figure:
        among = [(one, named) for one, named in rows if test(one)]
        keys = tuple(key for _, named in among for key in named)
        return Figure(key, words, sum(one.count for one, _ in among), keys)

    parts = tuple(figure(*part) for part in _PARTS)
    every = (
        # A kind may be of two words; the key stands in an address, which has none between them.
        figure(f"kind-{kind.replace(' ', '-')}", words, partial(_is_of, kind))
        for kind, words in kinds.items()
    )
    days = [one.days for one, _ in rows if one.days is not None for _ in range(one.count)]
    return Year(
        parts, tuple(one for one in every if one.count), float(median(days)) if days else None
    )


def _is_of(kind: str, one: Sort) -> bool:
    return one.kind == kind
