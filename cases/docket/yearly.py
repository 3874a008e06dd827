"""Reads of a year's requests in figures, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import (
    BooleanField,
    Case,
    Count,
    DateField,
    DurationField,
    ExpressionWrapper,
    F,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    When,
)
from django.db.models.functions import Coalesce, TruncDate

from cases.access import cases_open_to
from cases.court.models import Invoice, RecordsRequest, Release
from cases.court.queries import closed_on
from cases.decisions.models import Ground, ItemDecision
from cases.docket.figures import ANSWERED, Asked, Figure, Sort, Year, counted, figures_of
from cases.docket.queries import PAGE
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown
from me_office.audit.models import rows_of

MOST_A_YEAR = 20_000
ON_GROUND = "ground-"


def served_in(actor: Staff, first: date, last: date) -> QuerySet[RecordsRequest]:
    """Return requests served or received between two days in cases open to the person."""
    # A request is due on its service or later: by that the list by due date finds them.
    return RecordsRequest.objects.filter(
        due_on__gte=first, served_on__gte=first, served_on__lte=last,
        case__in=cases_open_to(actor),
    )  # fmt: skip


@dataclass(frozen=True)
class Kept:
    """How many items were kept back or covered on a ground, in how many requests."""

    ground: str
    withheld: int
    redacted: int
    requests: int
    # Under which its requests are shown.
    key: str = ""


@dataclass(frozen=True)
class Billed:
    """What was billed for a year's requests in one currency, and what became of it."""

    currency: str
    invoices: int
    billed: Decimal
    paid: Decimal
    waived: Decimal
    owed: Decimal


@dataclass(frozen=True)
class Figures:
    """A year in figures."""

    year: Year
    kept: Sequence[Kept]
    billed: Sequence[Billed]
    rows: Sequence[Asked]
    whole: bool


def year_of(actor: Staff, first: date, last: date, today: date) -> Figures:
    """Return the figures of the requests that were served in a period; three statements."""
    rows = served_in(actor, first, last)
    taken = RecordsRequest.objects.filter(pk__in=_first(rows))
    answered = _answered_on()
    sorts = (
        taken.order_by()
        .annotate(answered_on=Case(When(state=ANSWERED, then=answered)))
        .values("kind", "state")
        .annotate(
            took=ExpressionWrapper(F("answered_on") - F("served_on"), DurationField()),
            in_time=_true(answered_on__lte=F("due_on")),
            past=_true(due_on__lt=today),
            stopped=_true(stopped_since__isnull=False),
            asked=Count("pk"),
        )
        .values_list("kind", "state", "took", "in_time", "past", "stopped", "asked")
    )
    found = [
        Sort(kind, state, None if took is None else took.days, in_time, past, stopped, asked)
        for kind, state, took, in_time, past, stopped, asked in sorts
    ]
    year = counted(found, _kinds())
    whole = sum(one.count for one in found) < MOST_A_YEAR or not _more(rows)
    return Figures(year, _kept_back(actor, rows), _billed(rows), (), whole)


def year_behind(actor: Staff, first: date, last: date, today: date) -> Figures:
    """Return the same, each figure with its requests; without grounds and fees. One statement."""
    rows = served_in(actor, first, last)
    read = list(
        rows.annotate(answered_on=_answered_on())
        .order_by("due_on", "id")
        .values_list("pk", "kind", "served_on", "due_on", "state", "answered_on", "stopped_since")[
            : MOST_A_YEAR + 1
        ]
    )
    found = [
        Asked(key, kind, served, due, state, answered_on, stopped is not None)
        for key, kind, served, due, state, answered_on, stopped in read[:MOST_A_YEAR]
    ]
    return Figures(figures_of(found, today, _kinds()), (), (), found, len(read) <= MOST_A_YEAR)


def _kinds() -> dict[str, str]:
    return {key: str(words) for key, words in RecordsRequest.KINDS}


def _first(rows: QuerySet[RecordsRequest]) -> QuerySet[RecordsRequest, Any]:
    """Return the keys of the requests that are counted."""
    return rows.order_by("due_on", "id").values("pk")[:MOST_A_YEAR]


def _more(rows: QuerySet[RecordsRequest]) -> bool:
    return rows.order_by("due_on", "id")[MOST_A_YEAR : MOST_A_YEAR + 1].exists()


def _answered_on() -> Coalesce:
    """Return, for a query of requests, the day on which one was closed or last released of."""
    last = (
        Release.objects.active()
        .filter(request=OuterRef("pk"))
        .order_by()
        .values("request")
        .annotate(on=TruncDate(Max("released_at"), tzinfo=settings.OFFICE_ZONE))
        .values("on")
    )
    return Coalesce(Subquery(closed_on()), Subquery(last, output_field=DateField()))


def _true(**condition: Any) -> Case:
    return Case(When(**condition, then=True), default=False, output_field=BooleanField())


def _kept_of(actor: Staff, rows: QuerySet[RecordsRequest]) -> QuerySet[ItemDecision]:
    # A request may also ask for a case that the person may not know of.
    kept: QuerySet[ItemDecision] = ItemDecision.objects.active().filter(
        outcome__in=["withhold", "redact"],
        request__in=rows.order_by().values("pk"),
        case__in=cases_open_to(actor),
    )
    return kept


def figure_behind(actor: Staff, first: date, last: date, found: Figures, key: str) -> Figure | None:
    """Return a figure with its requests; of what was kept back on a ground by one statement."""
    if not key.startswith(ON_GROUND):
        return found.year.part(key)
    try:
        ground = UUID(key.removeprefix(ON_GROUND))
    except ValueError:
        return None
    named = rows_of(Ground).filter(pk=ground).first()
    if named is None:
        return None
    kept = _kept_of(actor, served_in(actor, first, last)).filter(ground=named)
    of_it = set(kept.order_by().values_list("request", flat=True))
    keys = tuple(one.key for one in found.rows if one.key in of_it)
    return Figure(key, f"kept back on {named}", len(keys), keys)


def _kept_back(actor: Staff, rows: QuerySet[RecordsRequest]) -> list[Kept]:
    kept = (
        _kept_of(actor, rows)
        .order_by("ground__number", "ground")
        .values("ground__number", "ground__words", "ground")
        .annotate(
            withheld=Count("pk", filter=Q(outcome="withhold")),
            redacted=Count("pk", filter=Q(outcome="redact")),
            requests=Count("request", distinct=True),
        )
    )
    return [
        Kept(
            f"{one['ground__number']}. {one['ground__words']}",
            one["withheld"], one["redacted"], one["requests"], f"{ON_GROUND}{one['ground']}",
        )
        for one in kept
    ]  # fmt: skip


def _billed(rows: QuerySet[RecordsRequest]) -> list[Billed]:
    none = Decimal(0)
    paid, waived = Q(paid_on__isnull=False), ~Q(waived_because="")
    found = (
        Invoice.objects.active()
        .filter(request__in=rows.order_by().values("pk"))
        .order_by("currency")
        .values("currency")
        .annotate(
            invoices=Count("pk"),
            billed=Sum("total"),
            paid=Sum("total", filter=paid, default=none),
            waived=Sum("total", filter=waived, default=none),
            owed=Sum("total", filter=~paid & ~waived, default=none),
        )
    )
    return [Billed(**one) for one in found]


def requests_behind(
    actor: Staff, keys: Sequence[UUID], *, page: int
) -> tuple[list[RecordsRequest], int, int]:
    """Return a page of the requests behind a figure, and which page of how many it is."""
    pages = max(1, -(-len(keys) // PAGE))
    at = min(max(page, 1), pages)
    wanted = keys[(at - 1) * PAGE : at * PAGE]
    rows = RecordsRequest.objects.filter(pk__in=wanted, case__in=cases_open_to(actor))
    found = {one.pk: one for one in rows.select_related("case__decedent")}
    return [found[key] for key in wanted if key in found], at, pages


def figure_rows(year: Figures, keys: Iterable[UUID]) -> Iterator[list[str]]:
    """Return the requests behind a figure as rows of an export."""
    yield ["Case", "Kind", "Cause number", "Party", "Served", "Due", "State", "Answered"]
    by_key = {one.key: one for one in year.rows}
    wanted = list(keys)
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        rows = RecordsRequest.objects.filter(pk__in=part).select_related("case")
        found = {one.pk: one for one in rows}
        for key in part:
            one, asked = by_key[key], found[key]
            yield [
                asked.case.label, asked.get_kind_display(), asked.cause_number, asked.party,
                one.served_on.isoformat(), one.due_on.isoformat(), one.state,
                one.answered_on.isoformat() if one.answered_on else "",
            ]  # fmt: skip


def summary_rows(found: Figures) -> Iterator[list[str]]:
    """Return all figures as rows of an export."""
    yield ["Figure", "Count"]
    for one in (*found.year.parts, *found.year.kinds):
        yield [one.words, str(one.count)]
    days = "" if found.year.days is None else f"{found.year.days:g}"
    yield ["median days from service to the last release", days]
    for kept in found.kept:
        yield [f"withheld: {kept.ground}", str(kept.withheld)]
        yield [f"redacted: {kept.ground}", str(kept.redacted)]
    for bill in found.billed:
        for words in ("billed", "paid", "waived", "owed"):
            yield [f"{words}, {bill.currency}", str(getattr(bill, words))]


def read_year(text: str, today: date) -> tuple[date, date]:
    """Return the days of a year that the address asks for; this year without one."""
    if not text:
        return date(today.year, 1, 1), date(today.year, 12, 31)
    if not text.isdecimal() or not 1990 <= int(text) <= today.year:
        raise NotKnown("There are no figures of this year.")
    return date(int(text), 1, 1), date(int(text), 12, 31)
