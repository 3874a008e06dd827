"""Reads of a year's requests in figures, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.conf import settings
from django.db.models import Count, Max, OuterRef, Q, QuerySet, Subquery, Sum

from cases.access import cases_open_to
from cases.court.models import Invoice, RecordsRequest, Release
from cases.court.queries import closed_on
from cases.decisions.models import ItemDecision
from cases.docket.figures import Asked, Year, figures_of
from cases.docket.queries import PAGE
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown

MOST_A_YEAR = 20_000


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


def year_of(actor: Staff, first: date, last: date, today: date, *, grounds: bool = True) -> Figures:
    """Return the figures of the requests that were served in a period; three statements.

    Without `grounds`, what was kept back on which is left out.
    """
    rows = served_in(actor, first, last)
    answered = (
        Release.objects.active()
        .filter(request=OuterRef("pk"))
        .order_by()
        .values("request")
        .annotate(at=Max("released_at"))
        .values("at")
    )
    read = list(
        rows.annotate(at=Subquery(answered), closed=Subquery(closed_on()))
        .order_by("due_on", "id")
        .values_list("pk", "kind", "served_on", "due_on", "state", "at", "closed", "stopped_since")[
            : MOST_A_YEAR + 1
        ]
    )
    zone = settings.OFFICE_ZONE
    found = [
        Asked(
            key, kind, served, due, state,
            answered_on=closed or (at.astimezone(zone).date() if at else None),
            stopped=stopped is not None,
        )
        for key, kind, served, due, state, at, closed, stopped in read[:MOST_A_YEAR]
    ]  # fmt: skip
    kinds = {key: str(words) for key, words in RecordsRequest.KINDS}
    year = figures_of(found, today, kinds)
    kept = _kept_back(actor, rows) if grounds else []
    billed = _billed(rows) if grounds else []
    return Figures(year, kept, billed, found, len(read) <= MOST_A_YEAR)


def _kept_back(actor: Staff, rows: QuerySet[RecordsRequest]) -> list[Kept]:
    # A request may also ask for a case that the person may not know of.
    kept = (
        ItemDecision.objects.active()
        .filter(
            outcome__in=["withhold", "redact"],
            request__in=rows.order_by().values("pk"),
            case__in=cases_open_to(actor),
        )
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
            one["withheld"], one["redacted"], one["requests"],
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
