"""What waits for whom: kinds of waiting, and how they are counted. No database."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from cases.measures.rules import TARGET_DAYS, age_words, day_words
from me_office.worded import Worded

NOBODY = "nobody"


class WaitKind(Worded):
    """Something that somebody has to do, in the order in which a case comes to it."""

    NOT_EXAMINED = "not-examined", "Examination not opened"
    NOT_BEGUN = "not-begun", "Report not begun"
    WRITING = "writing", "Report being written"
    IN_REVIEW = "in-review", "In peer review"
    SENT_BACK = "sent-back", "Sent back"
    PENDING = "pending", "Manner pending"
    RESULTS = "results", "Results outstanding"
    LATE = "late-results", "Addendum to decide on"


# From which day each is counted.
COUNTED_FROM = {
    WaitKind.NOT_EXAMINED: "the day of the report of death",
    WaitKind.NOT_BEGUN: "the day of the examination",
    WaitKind.WRITING: "the day on which the report was begun",
    WaitKind.IN_REVIEW: "the day on which the draft was sent",
    WaitKind.SENT_BACK: "the day on which the draft was sent back",
    WaitKind.PENDING: "the day on which cause and manner were first stated",
    WaitKind.RESULTS: "the day on which the first of the specimens was recorded",
    WaitKind.LATE: "the day on which the result was recorded",
}
REPORTS = (WaitKind.NOT_BEGUN, WaitKind.WRITING, WaitKind.IN_REVIEW, WaitKind.SENT_BACK)
# Who has to act where nobody is named.
UNNAMED = {WaitKind.IN_REVIEW: "No reviewer named"}


@dataclass(frozen=True)
class Wait:
    """One thing that waits: in which case, for whom, since when.

    `also` is somebody else whose work it is: the author of a draft that is in review.
    """

    kind: WaitKind
    case_id: UUID
    label: str
    since: date
    person: str = ""
    also: str = ""
    examined_on: date | None = None
    detail: str = ""
    reasons: tuple[str, ...] = ()
    signed: bool = False

    def days(self, today: date) -> int:
        """For how many days it has waited."""
        return max((today - self.since).days, 0)

    def days_since_examination(self, today: date) -> int | None:
        """How many days ago the examination began; None where there was none."""
        return None if self.examined_on is None else max((today - self.examined_on).days, 0)

    def is_late(self, today: date) -> bool:
        """Tell whether a report is open more than 90 days after the examination."""
        days = self.days_since_examination(today)
        return self.kind in REPORTS and days is not None and days > TARGET_DAYS

    def concerns(self, person: str) -> bool:
        """Tell whether it is somebody's work."""
        return person in {self.person, self.also}


@dataclass(frozen=True)
class Cell:
    """How many things of one kind wait for one person, and for how long the oldest has."""

    count: int = 0
    oldest_days: int = 0

    @property
    def oldest_words(self) -> str:
        """The age of the oldest."""
        return age_words(self.oldest_days)


@dataclass(frozen=True)
class Line:
    """One person's row: a cell for each kind, and all of them together."""

    person: str
    name: str
    cells: tuple[tuple[WaitKind, Cell], ...]
    total: Cell


def lines_of(waits: Sequence[Wait], names: dict[str, str], today: date) -> list[Line]:
    """Return a row for each person for whom something waits, by name; nobody's own comes last."""
    people = sorted(
        {one.person for one in waits}, key=lambda key: (not key, names.get(key, ""), key)
    )
    return [
        _line(key, names.get(key, "") if key else "Nobody named", waits, today) for key in people
    ]


def _line(person: str, name: str, waits: Sequence[Wait], today: date) -> Line:
    own = [one for one in waits if one.person == person]
    cells = tuple((kind, cell_of((w for w in own if w.kind is kind), today)) for kind in WaitKind)
    return Line(person or NOBODY, name, cells, cell_of(own, today))


def cell_of(waits: Iterable[Wait], today: date) -> Cell:
    """Count, and find the oldest."""
    days = [one.days(today) for one in waits]
    return Cell(len(days), max(days, default=0))


def chosen(waits: Sequence[Wait], *, kind: str = "", person: str = "") -> list[Wait]:
    """Return those of a kind and of a person, the oldest first; an empty choice leaves none out."""
    wanted = "" if person == NOBODY else person
    found = [
        one
        for one in waits
        if (not kind or one.kind == kind) and (not person or one.person == wanted)
    ]
    return sorted(found, key=lambda one: (one.since, one.label, one.kind, str(one.case_id)))


def detail_words(one: Wait) -> str:
    """Return what stands beneath a row: what is waited for, and when the body was examined."""
    examined = f"examined {day_words(one.examined_on)}" if one.examined_on else ""
    return "; ".join(part for part in (one.detail, *one.reasons, examined) if part)
