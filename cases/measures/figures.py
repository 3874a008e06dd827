"""What the office is measured by, from what was read: each figure with the cases behind it.

Each figure says what it counts, from when to when and what is left out, and each number in it is a
`Part` that holds its cases. No database.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from cases.measures.rules import (
    AUTOPSIES,
    DAYS_SHOWN,
    EXTERNAL,
    FEWEST_FOR_PERCENT,
    Load,
    Period,
    age_group,
    age_groups,
    day_words,
    days_words,
    load_of,
    percent,
    share_words,
)
from cases.measures.survival import Curve, curve_of
from cases.measures.waits import REPORTS, Wait, WaitKind

OPEN_TO_YOU = (
    "Only cases that are open to you are counted: restricted cases of teams that you are not on "
    "are in none of these numbers."
)


@dataclass(frozen=True)
class Examined:
    """One examination that began in the period, and what became of its report."""

    case_id: UUID
    label: str
    kind: str
    person: str
    examined_on: date
    signed_on: date | None = None

    @property
    def is_autopsy(self) -> bool:
        """Tell whether the body was opened."""
        return self.kind in AUTOPSIES

    def days(self, today: date) -> int:
        """Return the days from examination to signature, or to today."""
        return ((self.signed_on or today) - self.examined_on).days


@dataclass(frozen=True)
class Returned:
    """One draft that was sent back in a case of the period."""

    case_id: UUID
    label: str
    person: str
    returned_on: date
    causes: tuple[str, ...]


@dataclass(frozen=True)
class Row:
    """One case behind a number."""

    case_id: UUID
    label: str
    person: str
    began_on: date
    ended_on: date | None
    days: int
    detail: str = ""


@dataclass(frozen=True)
class Part:
    """One number with its cases."""

    key: str
    words: str
    rows: tuple[Row, ...]
    note: str = ""

    @property
    def count(self) -> int:
        """How many."""
        return len(self.rows)


@dataclass(frozen=True)
class Figure:
    """One thing that is measured."""

    key: str
    title: str
    counts: str
    left_out: str
    parts: tuple[Part, ...]

    def part(self, key: str) -> Part | None:
        """Return one of its numbers."""
        return next((one for one in self.parts if one.key == key), None)


@dataclass(frozen=True)
class Share:
    """How many reports were signed within so many days of the examination."""

    days: int
    signed: int
    of: int
    estimate: float | None
    interval: tuple[float, float] | None

    @property
    def words(self) -> str:
        """Of those that began longer ago than that: how many were signed in time."""
        return share_words(self.signed, self.of) if self.of else "none is that old yet"

    @property
    def estimate_words(self) -> str:
        """The estimate of all, with its 95 % interval; empty where too little is known."""
        if self.estimate is None:
            return ""
        if self.interval is None:
            return percent(self.estimate)
        low, high = self.interval
        return f"{percent(self.estimate)} ({percent(low)} to {percent(high)})"


@dataclass(frozen=True)
class TurnAround:
    """The figure of turn-around, with its shares and its curve."""

    figure: Figure
    shares: tuple[Share, ...]
    curve: Curve
    median_words: str


def turn_around(
    examined: Sequence[Examined], period: Period, today: date, *, all_kinds: bool = False
) -> TurnAround:
    """Measure from examination to signature; reports not signed yet count for their age."""
    counted = [one for one in examined if all_kinds or one.is_autopsy]
    backward = [one for one in counted if one.days(today) < 0]
    counted = [one for one in counted if one.days(today) >= 0]
    signed = [one for one in counted if one.signed_on]
    unsigned = [one for one in counted if not one.signed_on]
    curve = curve_of([o.days(today) for o in signed], [o.days(today) for o in unsigned])
    what = "Examinations of every kind" if all_kinds else "Autopsies (full, limited and second)"
    oldest = max((one.days(today) for one in unsigned), default=0)
    parts = [
        _part("signed", "signed", signed, today),
        _part(
            "open", "not signed yet", unsigned, today,
            f"the oldest for {days_words(oldest)}" if unsigned else "",
        ),
        *(_within(counted, days, today) for days in DAYS_SHOWN),
        _part("late", f"signed after more than {DAYS_SHOWN[-1]} days",
              [o for o in signed if o.days(today) > DAYS_SHOWN[-1]], today),
        _part("late-open", f"not signed after more than {DAYS_SHOWN[-1]} days",
              [o for o in unsigned if o.days(today) > DAYS_SHOWN[-1]], today),
    ]  # fmt: skip
    if backward:
        parts.append(_part("backward", "signature before the examination", backward, today))
    figure = Figure(
        "turn-around",
        "From examination to signed report",
        f"{what} that began from {period.words}; calendar days from the day on which the "
        "examination began to the day on which the report was signed.",
        "Withdrawn examinations"
        + (", and those whose signature lies before the examination." if backward else "."),
        tuple(parts),
    )
    shares = tuple(_share(counted, curve, days, today) for days in DAYS_SHOWN)
    return TurnAround(figure, shares, curve, _median_words(curve))


def _within(counted: Sequence[Examined], days: int, today: date) -> Part:
    rows = [one for one in counted if one.signed_on and one.days(today) <= days]
    return _part(f"within-{days}", f"signed within {days} days", rows, today)


def _share(counted: Sequence[Examined], curve: Curve, days: int, today: date) -> Share:
    old = [one for one in counted if (today - one.examined_on).days > days]
    signed = sum(1 for one in old if one.signed_on and one.days(today) <= days)
    enough = curve.n >= FEWEST_FOR_PERCENT
    return Share(
        days, signed, len(old),
        curve.done_by(days) if enough else None,
        curve.interval(days) if enough else None,
    )  # fmt: skip


def _median_words(curve: Curve) -> str:
    if not curve.n:
        return "No examination is counted."
    median = curve.median()
    n = f"{curve.n:,} report" if curve.n == 1 else f"{curve.n:,} reports"
    if median is None:
        return f"Fewer than half are signed so far (n = {n})."
    when = "on the day of the examination" if median == 0 else f"within {days_words(median)}"
    return f"Median: half are signed {when} (n = {n}, open ones included)."


def _part(key: str, words: str, rows: Iterable[Examined], today: date, note: str = "") -> Part:
    return Part(key, words, tuple(_row(one, today) for one in _in_order(rows)), note)


def _in_order(rows: Iterable[Examined]) -> list[Examined]:
    return sorted(rows, key=lambda one: (one.examined_on, one.label, str(one.case_id)))


def _row(one: Examined, today: date) -> Row:
    return Row(
        one.case_id, one.label, one.person, one.examined_on, one.signed_on, one.days(today),
        one.kind,
    )  # fmt: skip


@dataclass(frozen=True)
class PersonLoad:
    """One pathologist's examinations of the period."""

    person: str
    name: str
    autopsies: Part
    external: Part
    other: Part
    load: Load
    compared: bool

    @property
    def load_words(self) -> str:
        """How it compares, where the period is a whole year."""
        if self.compared or self.load is not Load.WITHIN:
            return self.load.value
        return "the year is not over"


@dataclass(frozen=True)
class Workload:
    """The figure of workload, a row for each pathologist."""

    figure: Figure
    people: tuple[PersonLoad, ...]


def workload(
    examined: Sequence[Examined], names: dict[str, str], period: Period, today: date
) -> Workload:
    """Count each pathologist's examinations: autopsies, external ones and all others apart."""
    of_person: dict[str, list[Examined]] = {}
    for one in examined:
        of_person.setdefault(one.person, []).append(one)
    people = tuple(
        _person_load(key, names.get(key, ""), of_person[key], period, today)
        for key in sorted(of_person, key=lambda key: (names.get(key, ""), key))
    )
    parts = [part for one in people for part in (one.autopsies, one.external, one.other)]
    figure = Figure(
        "workload",
        "Examinations by pathologist",
        f"Examinations that began from {period.words}, by the pathologist named in each. Autopsies "
        "are full, limited and second ones.",
        "Withdrawn examinations.",
        tuple(parts),
    )
    return Workload(figure, people)


def _person_load(
    key: str, name: str, rows: Sequence[Examined], period: Period, today: date
) -> PersonLoad:
    def part(kind: str, words: str, is_one: Callable[[Examined], bool]) -> Part:
        return _part(f"{kind}.{key}", f"{words}, {name}", filter(is_one, rows), today)

    autopsies = part("autopsy", "autopsies", lambda one: one.is_autopsy)
    return PersonLoad(
        key,
        name,
        autopsies,
        part("external", "external examinations", lambda one: one.kind == EXTERNAL),
        part(
            "other", "other examinations", lambda one: not one.is_autopsy and one.kind != EXTERNAL
        ),
        load_of(autopsies.count),
        period.is_over,
    )


def open_by_age(waits: Sequence[Wait], today: date) -> Figure:
    """Count reports that are not signed by the days since the examination."""
    rows = [one for one in waits if one.kind in REPORTS and one.examined_on is not None]
    parts = tuple(
        _waiting_part(key, words, [o for o in rows if age_group(_age(o, today)) == key], today)
        for key, words in age_groups()
    )
    return Figure(
        "open",
        "Open reports by age",
        f"Reports of examined cases that are not signed on {day_words(today)}, whenever the "
        "examination began; days since it began.",
        "Cases that are not examined, and those closed without a report.",
        parts,
    )


def _age(one: Wait, today: date) -> int:
    return one.days_since_examination(today) or 0


def pending_by_reason(waits: Sequence[Wait], today: date) -> Figure:
    """Count cases with the manner pending by what is still outstanding in them."""
    rows = [one for one in waits if one.kind is WaitKind.PENDING]
    reasons = Counter(reason for one in rows for reason in set(one.reasons))
    parts = [_waiting_part("all", "manner pending", rows, today)] if rows else []
    parts += [
        _waiting_part(f"reason.{reason}", reason, [o for o in rows if reason in o.reasons], today)
        for reason, _ in sorted(reasons.items(), key=lambda pair: (-pair[1], pair[0]))
    ]
    return Figure(
        "pending",
        "Manner pending, by what is waited for",
        f"Cases whose manner of death is pending on {day_words(today)}, signed or not; days since "
        "cause and manner were first stated. A case that waits for two results counts under both.",
        "Cases in which nothing is stated yet.",
        tuple(parts),
    )


def _waiting_part(key: str, words: str, waits: Iterable[Wait], today: date) -> Part:
    rows = sorted(waits, key=lambda one: (one.since, one.label, str(one.case_id)))
    found = tuple(
        Row(
            one.case_id, one.label, one.person,
            one.since if one.kind is WaitKind.PENDING else one.examined_on or one.since, None,
            one.days(today) if one.kind is WaitKind.PENDING else _age(one, today),
            "; ".join(one.reasons),
        )
        for one in rows
    )  # fmt: skip
    oldest = max((row.days for row in found), default=0)
    return Part(key, words, found, f"the oldest for {days_words(oldest)}" if found else "")


NO_CAUSE = "no cause was chosen"


def returned_by_cause(returned: Sequence[Returned], period: Period) -> Figure:
    """Count drafts that were sent back by the causes that the reviewer chose."""
    causes = Counter(cause for one in returned for cause in _causes(one))
    parts = [_returned_part("all", "drafts sent back", returned)] if returned else []
    parts += [
        _returned_part(f"cause.{cause}", cause, [o for o in returned if cause in _causes(o)])
        for cause, _ in sorted(causes.items(), key=lambda pair: (-pair[1], pair[0]))
    ]
    return Figure(
        "returned",
        "Drafts sent back, by cause",
        f"Drafts of cases whose examination began from {period.words} that a reviewer sent back, "
        "each time once. A draft that was sent back for two causes counts under both.",
        "Withdrawn decisions. What the reviewer wrote stands in the case.",
        tuple(parts),
    )


def _causes(one: Returned) -> set[str]:
    return set(one.causes) or {NO_CAUSE}


def _returned_part(key: str, words: str, returned: Iterable[Returned]) -> Part:
    rows = sorted(returned, key=lambda one: (one.returned_on, one.label, str(one.case_id)))
    return Part(
        key,
        words,
        tuple(
            Row(o.case_id, o.label, o.person, o.returned_on, None, 0, ", ".join(sorted(_causes(o))))
            for o in rows
        ),
    )
