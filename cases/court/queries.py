"""Reads of requests and releases."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING, Any, TypedDict, TypeVar
from uuid import UUID

from django.conf import settings
from django.db.models import (
    Count,
    DateTimeField,
    Exists,
    IntegerField,
    Max,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
)
from django.utils import timezone

from cases.access import Act, cases_open_to, require_role
from cases.court.models import (
    Authority,
    AuthorityNeed,
    Closing,
    Counsel,
    Demand,
    FeeRule,
    Invoice,
    Original,
    RecordsRequest,
    Release,
    RequestCase,
    made_releases,
)
from cases.court.on_page import once
from cases.court.rules import (
    AUTHORITY_ASKED,
    Answered,
    Punctuality,
    RequestState,
    authority_key,
    authority_lacks,
    punctuality,
)
from cases.models import Case, CaseRecord
from cases.queries.pages import Page, page_after
from me_office.accounts.models import Staff
from me_office.audit.errors import known, known_of_office
from me_office.audit.models import rows_of
from me_office.prepared import PreparedRows

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

PartT = TypeVar("PartT", bound=CaseRecord)

YEAR = timedelta(days=365)
LAST_ANSWERS = 100
MOST_ASKED = 120


@dataclass(frozen=True)
class Choice:
    """Which requests the office's list shows; empty means all."""

    state: str = ""  # "", "overdue" or a RequestState
    kind: str = ""
    words: str = ""  # a part of a number, a party, a court or a name of counsel


def request_for_update(case: Case, request_id: UUID) -> RecordsRequest:
    """Return a request of the case, locked. Raises NotKnown."""
    rows = RecordsRequest.objects.select_for_update(of=("self",)).filter(case=case, pk=request_id)
    return known(rows.first(), "request")


def part_for_update(
    model: type[PartT], asked: RecordsRequest, record_id: UUID, called: str
) -> PartT:
    """Return a part of the request, or what was recorded of it, locked. Raises NotKnown."""
    rows = rows_of(model).select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    return known(rows.first(), called)


def request_of(case_id: UUID, request_id: UUID) -> RecordsRequest:
    """Return a request of the case with its releases. Raises NotKnown."""
    return known(
        _with_releases(RecordsRequest.objects.filter(pk=request_id, case=case_id)).first(),
        "request",
    )


def demand_of(asked: RecordsRequest, demand_id: UUID) -> Demand:
    """Return a demand of the request. Raises NotKnown."""
    return known(Demand.objects.filter(request=asked, pk=demand_id).first(), "demand")


def demands_of(asked: RecordsRequest) -> list[Demand]:
    """Return the demands that stand, by number; one statement."""
    return _demands().objects(Demand, asked.pk)


@cache
def _demands() -> PreparedRows:
    rows = Demand.objects.active().order_by("number")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


def demands_in_case(case_id: UUID, request_id: UUID) -> list[Demand]:
    """Return the demands of a request of the case. Raises NotKnown."""
    return demands_of(request_of(case_id, request_id))


def counsel_one(asked: RecordsRequest, record_id: UUID) -> Counsel:
    """Return an entry of counsel of the request. Raises NotKnown."""
    return known(Counsel.objects.filter(request=asked, pk=record_id).first(), "counsel")


def counsel_of(asked: RecordsRequest) -> list[Counsel]:
    """Return who appears in the request's matter, in the order in which they came."""
    return list(Counsel.objects.active().filter(request=asked).order_by("created_at", "id"))


def counsel_in_case(case_id: UUID, request_id: UUID) -> list[Counsel]:
    """Return the counsel of a request of the case. Raises NotKnown."""
    return counsel_of(request_of(case_id, request_id))


def further_case_for_update(actor: Staff, asked: RecordsRequest, record_id: UUID) -> RequestCase:
    """Return a further case that the person may know of, locked. Raises NotKnown."""
    rows = RequestCase.objects.select_for_update(of=("self",)).filter(
        request=asked, pk=record_id, case__in=cases_open_to(actor)
    )
    return known(rows.first(), "further case")


def further_case_of(actor: Staff, asked: RecordsRequest, record_id: UUID) -> RequestCase:
    """Return a further case of the request that the person may know of. Raises NotKnown."""
    rows = RequestCase.objects.filter(request=asked, pk=record_id, case__in=cases_open_to(actor))
    return known(rows.select_related("case").first(), "further case")


def further_cases_of(actor: Staff, asked: RecordsRequest) -> list[RequestCase]:
    """Return the further cases of a request that the person may know of; one statement."""
    rows = RequestCase.objects.active().filter(request=asked, case__in=cases_open_to(actor))
    return list(rows.select_related("case__decedent").order_by("case__number", "id"))


def case_called(actor: Staff, number: str) -> Case | None:
    """Return the case with this number, if the person may know of it."""
    return cases_open_to(actor).filter(number__iexact=number.strip()).first()


def requests_reaching(actor: Staff, case_id: UUID) -> list[RecordsRequest]:
    """Return the requests that ask for this case and were logged under another.

    Only those whose own case the person may know of, too: a request's words tell of it.
    """
    tied = RequestCase.objects.active().filter(case=case_id).values("request")
    rows = RecordsRequest.objects.filter(pk__in=tied, case__in=cases_open_to(actor))
    return list(_with_releases(rows).select_related("case").order_by("-id"))


def original_for_update(asked: RecordsRequest) -> Original | None:
    """Return the original that stands, locked, with its file."""
    rows = Original.objects.active().select_for_update(of=("self",)).select_related("file")
    return rows.filter(request=asked).first()


def originals_of(asked: RecordsRequest) -> list[Original]:
    """Return the papers of the request, the one that stands first; one statement."""
    rows = Original.objects.filter(request=asked).select_related("file", "created_by")
    return sorted(rows.order_by("-created_at"), key=lambda one: one.is_voided)


def original_one(asked: RecordsRequest, record_id: UUID) -> Original:
    """Return a paper of the request, also one that was replaced. Raises NotKnown."""
    rows = Original.objects.filter(request=asked, pk=record_id).select_related("file")
    return known(rows.first(), "original")


def originals_in_case(case_id: UUID, request_id: UUID) -> list[Original]:
    """Return the papers of a request of the case. Raises NotKnown."""
    return originals_of(request_of(case_id, request_id))


def authority_of(asked: RecordsRequest) -> Authority | None:
    """Return what is recorded of the right of who asks; one statement."""
    return _authority().one(Authority, asked.pk)


@cache
def _authority() -> PreparedRows:
    rows = Authority.objects.active().select_related("person", "checked_by")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


def authority_in_case(case_id: UUID, request_id: UUID) -> Authority | None:
    """Return the authority of a request of the case. Raises NotKnown."""
    return authority_of(request_of(case_id, request_id))


@dataclass(frozen=True)
class Need:
    """Whether the office asks requests of one kind for a right, and where it says so."""

    key: str
    words: str
    needed: bool
    own: AuthorityNeed | None = None


def authority_needs() -> list[Need]:
    """Return the office's list, in its order; one statement."""
    own = {one.key: one for one in AuthorityNeed.objects.active()}
    return [
        Need(key, words, own[key].needed if key in own else needed, own.get(key))
        for key, words, needed in AUTHORITY_ASKED
    ]


def authority_need(asked: RecordsRequest) -> Need:
    """Return the line of the office's list to which a request belongs; one statement."""
    key = authority_key(asked.kind, asked.asked_under)
    return next(one for one in authority_needs() if one.key == key)


def authority_on_page(asked: RecordsRequest) -> tuple[Authority | None, Need]:
    """Read the right of who asks, and whether the office asks for it, once for a page."""
    return once(asked, authority_of, lambda: (authority_of(asked), authority_need(asked)))


def why_no_authority(asked: RecordsRequest, *, on_page: bool = False) -> str:
    """Say what keeps a request from its answer as to the right of who asks, or nothing.

    `on_page`, as it was read once for all parts of a page.
    """
    record, need = (
        authority_on_page(asked) if on_page else (authority_of(asked), authority_need(asked))
    )
    outcome = record.outcome if record is not None else "open"
    return authority_lacks(needed=need.needed, outcome=outcome)


def fees() -> list[FeeRule]:
    """Return the fees of the office's list, by name; one statement."""
    return list(FeeRule.objects.active().order_by("name", "id"))


def fees_told(actor: Staff) -> list[FeeRule]:
    """Return the fees to whoever may see a case. Raises NotAllowed."""
    require_role(actor, Act.SEE)
    return fees()


def fee_of(record_id: UUID) -> FeeRule:
    """Return a fee of the list. Raises NotKnown."""
    return known_of_office(FeeRule.objects.active().filter(pk=record_id).first(), "fee")


def invoice_of(asked: RecordsRequest, record_id: UUID) -> Invoice:
    """Return an invoice of the request. Raises NotKnown."""
    rows = Invoice.objects.filter(request=asked, pk=record_id).select_related("file")
    return known(rows.first(), "invoice")


def invoices_of(asked: RecordsRequest) -> list[Invoice]:
    """Return the invoices of a request, also withdrawn ones; one statement."""
    return list(Invoice.objects.filter(request=asked).select_related("file").order_by("number"))


def invoices_in_case(case_id: UUID, request_id: UUID) -> list[Invoice]:
    """Return the invoices of a request of the case. Raises NotKnown."""
    return invoices_of(request_of(case_id, request_id))


def next_demand_number(asked: RecordsRequest) -> int:
    """Return the next number of a request that is locked; withdrawn ones keep theirs."""
    last = Demand.objects.filter(request=asked).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def testimony_asked_of(asked: RecordsRequest) -> list[Demand]:
    """Return the demands of a request that ask for testimony; no packet answers them."""
    rows = Demand.objects.active().filter(request=asked, kind="testimony")
    return list(rows.order_by("number"))


def requests_of(case_id: UUID) -> list[RecordsRequest]:
    """Return the case's requests, open ones first, each with `made_releases` and `has_demands`."""
    listed = Exists(Demand.objects.active().filter(request=OuterRef("pk")))
    every = RecordsRequest.objects.filter(case=case_id).annotate(has_demands=listed)
    rows = list(_with_releases(every).order_by("-id"))
    order = [RequestState.OPEN, RequestState.ANSWERED, RequestState.WITHDRAWN]
    opened = RequestState.OPEN
    return sorted(
        rows,
        key=lambda row: (
            order.index(RequestState(row.state)),
            row.due_on.toordinal() if row.state == opened else -row.due_on.toordinal(),
        ),
    )


def _with_releases(rows: QuerySet[RecordsRequest]) -> QuerySet[RecordsRequest]:
    releases: Prefetch[str, QuerySet[Release], str] = Prefetch(
        "releases", made_releases(), to_attr="made_releases"
    )
    return rows.select_related("created_by", "voided_by").prefetch_related(releases)


def read_choice(state: str, kind: str, words: str = "") -> Choice:
    """Return what the address of the list asks for; what it does not know is left out."""
    states = {"overdue", *(one.value for one in RequestState)}
    kinds = {key for key, _ in RecordsRequest.KINDS}
    asked = " ".join(words.replace("\0", "").split())[:MOST_ASKED]
    return Choice(state if state in states else "", kind if kind in kinds else "", asked)


def _naming(words: str) -> Q:
    """Find requests by their number, their party, their court, their case, or who appears."""
    of_it = Counsel.objects.active().filter(request=OuterRef("pk"))
    appears = of_it.filter(Q(name__icontains=words) | Q(firm__icontains=words))
    fields = ("cause_number", "party", "contact", "court", "case__number")
    found = Q(Exists(appears))
    for field in fields:
        found |= Q(**{f"{field}__icontains": words})
    return found


class _WhenAnswered(TypedDict):
    answered_at: datetime | None
    closed_on: date | None
    demand_count: int | None


def closed_on() -> QuerySet[Closing, Any]:
    """Return, for a query of requests, when one was answered without a packet."""
    rows = Closing.objects.active().filter(request=OuterRef("pk"))
    return rows.order_by().values("answered_on")[:1]


def chosen_requests(
    actor: Staff, choice: Choice, today: date
) -> QuerySet[WithAnnotations[RecordsRequest, _WhenAnswered]]:
    """Return requests of the cases a person may know of, the earliest due first."""
    rows: QuerySet[RecordsRequest] = RecordsRequest.objects.filter(case__in=cases_open_to(actor))
    if choice.state == "overdue":
        rows = rows.filter(
            state=RequestState.OPEN.value, due_on__lt=today, stopped_since__isnull=True
        )
    elif choice.state:
        rows = rows.filter(state=choice.state)
    if choice.kind:
        rows = rows.filter(kind=choice.kind)
    if choice.words:
        rows = rows.filter(_naming(choice.words))
    answered = (
        Release.objects.active()
        .filter(request=OuterRef("pk"))
        .order_by("-released_at", "-id")
        .values("released_at")[:1]
    )
    demands = (
        Demand.objects.active()
        .filter(request=OuterRef("pk"))
        .order_by()
        .values("request")
        .annotate(rows=Count("pk"))
        .values("rows")
    )
    dated = rows.annotate(
        answered_at=Subquery(answered, output_field=DateTimeField()),
        closed_on=Subquery(closed_on()),
        demand_count=Subquery(demands, output_field=IntegerField()),
    )
    # Open requests read by the next deadline; closed ones by the latest.
    closed = choice.state in {RequestState.ANSWERED, RequestState.WITHDRAWN}
    order = ("-due_on", "-id") if closed else ("due_on", "id")
    return dated.select_related("case__decedent").order_by(*order)


def request_page(
    actor: Staff, choice: Choice, today: date, after: str = ""
) -> Page[RecordsRequest]:
    """Return the page that follows a key. Raises NotKnown for a bad key."""
    return page_after(chosen_requests(actor, choice, today), after, by="due_on")


def request_rows(actor: Staff, choice: Choice, today: date) -> Iterator[list[str]]:
    """Return the list as rows of an export, read in batches."""
    yield ["Case", "Kind", "Court", "Cause number", "Party", "Contact", "Served", "Due", "State",
           "Answered", "Asks for", "Demands", "Clock stopped"]  # fmt: skip
    for row in chosen_requests(actor, choice, today).iterator(chunk_size=500):
        answered_on = row.closed_on
        if row.answered_at and not answered_on:
            answered_on = row.answered_at.astimezone(settings.OFFICE_ZONE).date()
        yield [
            row.case.label,
            row.get_kind_display(),
            row.court,
            row.cause_number,
            row.party,
            row.contact,
            row.served_on.isoformat(),
            row.due_on.isoformat(),
            row.state,
            answered_on.isoformat() if answered_on else "",
            row.asks_for,
            str(row.demand_count or 0),
            row.stopped_since.isoformat() if row.stopped_since else "",
        ]


def late_releases(actor: Staff, *, most: int) -> list[Release]:
    """Return the latest releases of the office; one statement."""
    rows = Release.objects.active().filter(case__in=cases_open_to(actor))
    return list(rows.select_related("case", "request").order_by("-released_at", "-id")[:most])


def punctuality_of(actor: Staff, now: datetime) -> Punctuality:
    """Return how requests were answered by the last hundred releases of twelve months.

    A fixed number read from the newest end, so that an office's past costs its clerks no time.
    """
    made = Release.objects.active()
    before = made.filter(request=OuterRef("request")).filter(
        Q(released_at__lt=OuterRef("released_at"))
        | Q(released_at=OuterRef("released_at"), id__lt=OuterRef("id"))
    )
    latest = made.filter(released_at__gte=now - YEAR).order_by("-released_at", "-id")
    rows = (
        Release.objects.filter(
            ~Exists(before),
            pk__in=latest.values("pk")[:LAST_ANSWERS],
            request__state=RequestState.ANSWERED.value,
            case__in=cases_open_to(actor),
        )
        .order_by("id")
        .values_list("request__served_on", "request__due_on", "released_at")
    )
    return punctuality(
        [Answered(served, due, timezone.localtime(at).date()) for served, due, at in rows]
    )
