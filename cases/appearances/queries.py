"""Reads of dates in court."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from cases.access import cases_open_to
from cases.appearances.models import Appearance, AppearanceMove
from cases.appearances.rules import AHEAD, AppearanceState, Span, clashes
from cases.court.models import RecordsRequest
from cases.models import Case
from cases.queries.pages import Page, page_after
from me_office.accounts.models import Staff
from me_office.audit.errors import known
from me_office.moments import local

# The longest way and the longest sitting reach this far around a date.
AROUND = timedelta(days=5)
# More dates of the people of one page are not compared.
COMPARED = 500


# Reads with the rows what whoever asks wants to know of them.
Facts = Callable[[QuerySet[Appearance]], QuerySet[Appearance]]


def appearance_for_update(case: Case, record_id: UUID) -> Appearance:
    """Return a date in court of the case, locked. Raises NotKnown."""
    rows = Appearance.objects.select_for_update(of=("self",)).select_related("witness")
    return known(rows.filter(case=case, pk=record_id).first(), "date in court")


def appearance_of(case: Case, record_id: UUID) -> Appearance:
    """Return an active date in court of the case with its earlier dates. Raises NotKnown."""
    return known(_whole().filter(case=case, pk=record_id).first(), "date in court")


def appearances_of(case: Case, *, facts: Facts | None = None) -> list[Appearance]:
    """Return the case's dates in court that were not voided; two statements.

    What lies ahead comes first, the nearest at the top, then the others, the latest first. `facts`
    reads more with them.
    """
    rows = _whole().filter(case=case).order_by("begins_at", "id")
    read = list(facts(rows) if facts else rows)
    over = [row for row in read if not row.is_ahead]
    return [row for row in read if row.is_ahead] + over[::-1]


def _whole() -> QuerySet[Appearance]:
    moves = AppearanceMove.objects.active().select_related("created_by")
    rows: QuerySet[Appearance] = Appearance.objects.active().select_related(
        "witness", "request", "exhibit_set", "case", "asked_settled_by"
    )
    return rows.prefetch_related(Prefetch("moves", moves.order_by("created_at", "id")))


@dataclass(frozen=True)
class Choice:
    """Which dates the office's list shows."""

    state: str = "ahead"  # "ahead", "over", "canceled" or "all"
    own: bool = False


def chosen(actor: Staff, choice: Choice) -> QuerySet[Appearance]:
    """Return dates of the cases a person may know of: what lies ahead by date, else the latest."""
    rows: QuerySet[Appearance] = Appearance.objects.active().filter(case__in=cases_open_to(actor))
    if choice.own:
        rows = rows.filter(witness=actor)
    if choice.state == "ahead":
        rows = rows.filter(state__in=[state.value for state in AHEAD])
    elif choice.state == "over":
        rows = rows.filter(state=AppearanceState.DONE.value)
    elif choice.state == "canceled":
        rows = rows.filter(state=AppearanceState.CANCELED.value)
    order = ("begins_at", "id") if choice.state == "ahead" else ("-begins_at", "-id")
    return rows.select_related("case__decedent", "witness", "exhibit_set").order_by(*order)


def page_of(actor: Staff, choice: Choice, after: str, *, facts: Facts) -> Page[Appearance]:
    """Return the page that follows a key; `facts` reads more with its rows. Raises NotKnown."""
    return page_after(chosen(actor, choice), after, by="begins_at", reads=facts)


def rows_to_export(actor: Staff, choice: Choice) -> Iterator[list[str]]:
    """Return the list as rows of an export, read in batches."""
    yield ["Case", "Kind", "Begins", "Minutes", "Witness", "Court", "Cause number", "Place",
           "Called by", "Leaves", "State"]  # fmt: skip
    for row in chosen(actor, choice).iterator(chunk_size=500):
        yield [
            row.case.label,
            row.get_kind_display(),
            local(row.begins_at).isoformat(),
            str(row.expected_minutes or ""),
            str(row.witness),
            row.court,
            row.cause_number,
            row.place,
            row.get_called_by_display(),
            local(row.leave_at).isoformat() if row.leave_at else "",
            row.state,
        ]


def clashes_of(rows: Iterable[Appearance]) -> dict[UUID, list[Appearance]]:
    """Return, by date, what else takes the same person at the time; one statement.

    Only what lies ahead is compared, whichever case it is of: who shows it says of which.
    """
    ahead = [row for row in rows if row.is_ahead]
    if not ahead:
        return {}
    others = (
        Appearance.objects.active()
        .filter(
            state__in=[state.value for state in AHEAD],
            witness__in={row.witness_id for row in ahead},
            begins_at__gte=min(row.begins_at for row in ahead) - AROUND,
            begins_at__lte=max(row.begins_at for row in ahead) + AROUND,
        )
        .select_related("case", "witness")
        .order_by("begins_at", "id")[:COMPARED]
    )
    by_key = {row.pk: row for row in [*others, *ahead]}
    found = clashes(_span(row) for row in by_key.values())
    return {row.pk: [by_key[key] for key in found[row.pk]] for row in ahead if row.pk in found}


def dates_for(asked: RecordsRequest) -> list[Appearance]:
    """Return the dates in court that were recorded for a request, the earliest first."""
    return list(_whole().filter(request=asked).order_by("begins_at", "id"))


def known_cases(actor: Staff, found: Mapping[UUID, Sequence[Appearance]]) -> set[UUID]:
    """Return of which cases with an overlapping date a person may know; one statement, or none."""
    keys = {one.case_id for others in found.values() for one in others}
    if not keys:
        return set()
    return set(cases_open_to(actor).filter(pk__in=keys).values_list("pk", flat=True))


def _span(row: Appearance) -> Span:
    leaves = local(row.leave_at) if row.leave_at else None
    return Span(row.pk, row.witness_id, local(row.begins_at), leaves, row.expected_minutes)


def ahead_of(witness: Staff) -> QuerySet[Appearance]:
    """Return what lies ahead of a person in cases they may know of, the nearest first."""
    rows: QuerySet[Appearance] = Appearance.objects.active().filter(
        witness=witness,
        state__in=[state.value for state in AHEAD],
        case__in=cases_open_to(witness),
    )
    return rows.select_related("case__decedent", "exhibit_set").order_by("begins_at", "id")


def asked_of(actor: Staff, *, everyones: bool) -> QuerySet[Appearance]:
    """Return what was asked for in court and is not done, the earliest first.

    Of a person's own dates, or of those of everyone, in cases they may know of.
    """
    rows: QuerySet[Appearance] = Appearance.objects.active().filter(
        asked_settled_at=None, case__in=cases_open_to(actor)
    )
    if not everyones:
        rows = rows.filter(witness=actor)
    rows = rows.exclude(asked_afterward="").select_related("case__decedent", "witness")
    return rows.order_by("begins_at", "id")
