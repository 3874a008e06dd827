"""What a page, the API and a CSV say: the figures of a period, and the list of what waits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from cases.measures import queries
from cases.measures.figures import (
    Figure,
    Part,
    TurnAround,
    Workload,
    open_by_age,
    pending_by_reason,
    returned_by_cause,
    turn_around,
    workload,
)
from cases.measures.rules import Period, period_of
from cases.measures.waits import COUNTED_FROM, Wait, WaitKind
from cases.queries.listing import case_years
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown


@dataclass(frozen=True)
class Measured:
    """All figures of one period, as one person may know them."""

    period: Period
    today: date
    all_kinds: bool
    whole: bool
    cut: tuple[WaitKind, ...]
    turn_around: TurnAround
    workload: Workload
    open: Figure
    pending: Figure
    returned: Figure
    names: dict[str, str]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures in the order of the page."""
        return (
            self.turn_around.figure, self.open, self.workload.figure, self.pending, self.returned,
        )  # fmt: skip

    def part(self, figure: str, part: str) -> tuple[Figure, Part]:
        """Return one number with its figure. Raises NotKnown."""
        for one in self.figures:
            found = one.part(part) if one.key == figure else None
            if found is not None:
                return one, found
        raise NotKnown("There is no such number in this period.")


def measured(actor: Staff, period: str, *, all_kinds: bool = False) -> Measured:
    """Return the figures of a period; a fixed number of statements."""
    today = queries.today()
    asked = period_of(period, today)
    rows, whole = queries.examined(actor, asked)
    waiting = queries.waiting(actor)
    returned = queries.returned(actor, asked)
    names = queries.names_of(
        {*(one.person for one in rows), *(one.person for one in returned)}
        | {one.person for one in waiting.waits}
    )
    return Measured(
        asked, today, all_kinds, whole, waiting.cut,
        turn_around(rows, asked, today, all_kinds=all_kinds),
        workload(rows, names, asked, today),
        open_by_age(waiting.waits, today),
        pending_by_reason(waiting.waits, today),
        returned_by_cause(returned, asked),
        names,
    )  # fmt: skip


def years() -> list[int]:
    """Return the years that may be asked for, the latest first."""
    return case_years()


def rows_of_part(found: Measured, part: Part) -> Iterator[list[str]]:
    """Return the cases behind a number as rows of an export; it names no decedent."""
    yield ["Case", "Person", "From", "To", "Days", "Detail"]
    for row in part.rows:
        yield [
            row.label,
            found.names.get(row.person, ""),
            row.began_on.isoformat(),
            row.ended_on.isoformat() if row.ended_on else "",
            str(row.days),
            row.detail,
        ]


def rows_of_waits(waits: list[Wait], names: dict[str, str], today: date) -> Iterator[list[str]]:
    """Return what waits as rows of an export; it names no decedent."""
    yield ["Case", "What is waiting", "For", "Since", "Counted from", "Days", "Examined", "Detail"]
    for one in waits:
        yield [
            one.label,
            one.kind.words,
            names.get(one.person, ""),
            one.since.isoformat(),
            COUNTED_FROM[one.kind],
            str(one.days(today)),
            one.examined_on.isoformat() if one.examined_on else "",
            "; ".join(part for part in (one.detail, *one.reasons) if part),
        ]


def is_known_kind(kind: str) -> bool:
    """Tell whether there is such a kind of waiting."""
    return kind in set(WaitKind)
