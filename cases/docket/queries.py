"""Reads of the board and of a year's figures, in a fixed number of statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.utils import timezone

from cases.access import cases_open_to
from cases.answers.models import Answer, Delivery, Opening
from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState, is_ahead
from cases.court.models import Authority, Demand, Invoice, RecordsRequest, Release, RequestCase
from cases.court.queries import authority_needs, closed_on
from cases.court.rules import Due, RequestState, authority_key, due_words
from cases.decisions.items import stops_of
from cases.decisions.models import Approval, ItemDecision, LookAsked, Stop, StopSettled
from cases.decisions.queries import ASKS_RECORDS
from cases.docket.figures import Asked, Year, figures_of
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.rules import (
    GROUP_WORDS,
    WHOM_WORDS,
    Facts,
    Group,
    Waits,
    Whom,
    group_of,
    waits_of,
)
from cases.letters.models import Letter, LetterSending
from cases.letters.rules import LetterState, Outcome
from cases.models import Case
from cases.packets.models import Packet
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown, known
from me_office.audit.models import rows_of
from me_office.jobs.rules import JobState

# The soonest due are read; an office with more open requests is told so.
MOST_OPEN = 400
PAGE = 40
MOST_A_YEAR = 20_000
MOST_ORDERS = 100
# Longer than any address stays open.
FETCHED_WITHIN = timedelta(days=60)
_WORKING = frozenset({JobState.WAITING.value, JobState.MAKING.value})


@dataclass(frozen=True)
class Row:
    """A request on the board."""

    asked: RecordsRequest
    facts: Facts
    group: Group
    waits: Waits
    due: Due
    handler: Staff | None


@dataclass(frozen=True)
class Choice:
    """What the board shows; empty means all. `person` is a key, or "nobody"."""

    group: str = ""
    whom: str = ""
    person: str = ""


@dataclass(frozen=True)
class Board:
    """The rows that were chosen, how many of each sort there are, and whether all were read."""

    rows: Sequence[Row]
    chosen: int
    groups: Mapping[Group, int]
    whom: Mapping[Whom, int]
    whole: bool
    page: int
    pages: int


def board_of(actor: Staff, choice: Choice, today: date, *, page: int = 1) -> Board:
    """Return the board of open requests, the soonest due first; fifteen statements at most."""
    rows, whole = read_rows(actor, choice.person, today)
    groups = {group: sum(one.group is group for one in rows) for group in Group}
    in_group = [one for one in rows if not choice.group or one.group == choice.group]
    whom = {sort: sum(one.waits.whom is sort for one in in_group) for sort in Whom}
    chosen = [one for one in in_group if not choice.whom or one.waits.whom == choice.whom]
    order = list(Group)
    chosen.sort(key=lambda one: order.index(one.group))
    pages = max(1, -(-len(chosen) // PAGE))
    at = min(max(page, 1), pages)
    shown = chosen[(at - 1) * PAGE : at * PAGE]
    return Board(shown, len(chosen), groups, whom, whole, at, pages)


def read_rows(actor: Staff, person: str, today: date) -> tuple[list[Row], bool]:
    """Return the open requests with what they wait for, and whether these are all."""
    read = list(_open(actor, person)[: MOST_OPEN + 1])
    return _told(read[:MOST_OPEN], today), len(read) <= MOST_OPEN


def _open(actor: Staff, person: str) -> QuerySet[RecordsRequest]:
    rows = RecordsRequest.objects.filter(
        state=RequestState.OPEN.value, case__in=cases_open_to(actor)
    )
    handled = Handling.objects.active().filter(request=OuterRef("pk"))
    if person == "nobody":
        rows = rows.filter(~Exists(handled))
    elif person:
        rows = rows.filter(Exists(handled.filter(person=UUID(person))))
    return rows.select_related("case__decedent").order_by("due_on", "id")


def _told(found: Sequence[RecordsRequest], today: date) -> list[Row]:
    facts = facts_of(found, today)
    handlers = _handlers([one.pk for one in found])
    return [
        Row(
            one, facts[one.pk], group_of(facts[one.pk], today), waits_of(facts[one.pk]),
            due_words(one.due_on, today), handlers.get(one.pk),
        )
        for one in found
    ]  # fmt: skip


def _every_row(actor: Staff, person: str, today: date) -> Iterator[Row]:
    """Return all open requests, read in parts."""
    keys = list(_open(actor, person).values_list("pk", flat=True))
    for start in range(0, len(keys), MOST_OPEN):
        rows = RecordsRequest.objects.filter(pk__in=keys[start : start + MOST_OPEN])
        part = rows.select_related("case__decedent").order_by("due_on", "id")
        yield from _told(list(part), today)


def _handlers(keys: Sequence[UUID]) -> dict[UUID, Staff]:
    rows = Handling.objects.active().filter(request__in=keys).select_related("person")
    return {one.request_id: one.person for one in rows}


def facts_of(rows: Sequence[RecordsRequest], today: date) -> dict[UUID, Facts]:
    """Return what is recorded of open requests; eleven statements."""
    keys = [one.pk for one in rows]
    demands = _counted(Demand.objects.active(), keys)
    decided = ItemDecision.objects.active().filter(demand=OuterRef("pk"))
    # Testimony is answered elsewhere: of it nothing is decided here.
    records = Demand.objects.active().filter(kind=ASKS_RECORDS)
    undecided = _counted(records.filter(~Exists(decided)), keys)
    of_records = _counted(records, keys)
    of_testimony = _counted(Demand.objects.active().filter(kind="testimony"), keys)
    testimony = _testimony(keys, today)
    sent = set(Release.objects.active().filter(request__in=keys).values_list("request", flat=True))
    looks: dict[UUID, list[str]] = defaultdict(list)
    asked_of = LookAsked.objects.active().filter(request__in=keys, answered_at=None)
    for key, name in asked_of.values_list("request", "asked_of__display_name").order_by("pk"):
        if name not in looks[key]:
            looks[key].append(name)
    approved = _approved(keys)
    stops = _stops(rows, today)
    rights = _rights(rows)
    answers = _answers(keys)
    bills = Invoice.objects.active().filter(request__in=keys, paid_on=None, waived_because="")
    unpaid = dict(bills.order_by("created_at", "id").values_list("request", "number"))
    failed, drafts = _letters(keys)
    return {
        one.pk: Facts(
            due_on=one.due_on,
            stopped_since=one.stopped_since,
            demands=demands.get(one.pk, 0),
            records=of_records.get(one.pk, 0),
            testimony=of_testimony.get(one.pk, 0),
            undecided=undecided.get(one.pk, 0),
            testifies_on=testimony.get(one.pk, _NO_DATE).ahead,
            testified=testimony.get(one.pk, _NO_DATE).done,
            not_told_of=testimony.get(one.pk, _NO_DATE).over,
            sent=one.pk in sent,
            stops=stops.get(one.pk, 0),
            looks_of=tuple(looks.get(one.pk, ())),
            approved=one.pk in approved,
            right_lacks=rights.get(one.pk, ""),
            answer=answers.get(one.pk, _NO_ANSWER).how,
            answer_words=answers.get(one.pk, _NO_ANSWER).words,
            answer_is_old=answers.get(one.pk, _NO_ANSWER).decided
            not in {"", approved.get(one.pk, "")},
            unpaid=unpaid.get(one.pk, ""),
            letter_failed=one.pk in failed,
            letter_draft=one.pk in drafts,
        )
        for one in rows
    }


@dataclass(frozen=True)
class _Dates:
    """The next date in court of a request, one that is over and not told of, one that was."""

    ahead: date | None = None
    over: date | None = None
    done: bool = False


_NO_DATE = _Dates()


def _testimony(keys: Sequence[UUID], today: date) -> dict[UUID, _Dates]:
    """Return how the dates in court of each request stand; one statement."""
    found: dict[UUID, _Dates] = {}
    rows = Appearance.objects.active().filter(request__in=keys).exclude(kind="meeting")
    for key, state, at in rows.order_by("begins_at").values_list("request", "state", "begins_at"):
        known_now, day = found.get(key, _NO_DATE), at.astimezone(settings.OFFICE_ZONE).date()
        if is_ahead(state) and day >= today:
            found[key] = replace(known_now, ahead=known_now.ahead or day)
        elif is_ahead(state):
            found[key] = replace(known_now, over=known_now.over or day)
        elif state == AppearanceState.DONE:
            found[key] = replace(known_now, done=True)
    return found


def _counted(rows: QuerySet[Any], keys: Collection[UUID]) -> dict[UUID, int]:
    found = rows.filter(request__in=keys).order_by().values_list("request")
    return dict(found.annotate(n=Count("pk")))


def _stops(rows: Sequence[RecordsRequest], today: date) -> dict[UUID, int]:
    """Count what keeps each answer back and is not settled for it; three statements."""
    keys = [one.pk for one in rows]
    cases: dict[UUID, list[Case]] = {one.pk: [one.case] for one in rows}
    further = RequestCase.objects.active().filter(request__in=keys)
    for more in further.select_related("case__decedent"):
        cases[more.request_id].append(more.case)
    noted: dict[UUID, list[tuple[UUID | None, str]]] = defaultdict(list)
    every = {case.pk for found in cases.values() for case in found}
    stands = Stop.objects.active().filter(case__in=every)
    for stop in stands.filter(Q(until=None) | Q(until__gte=today)):
        noted[stop.case_id].append((stop.request_id, str(stop.pk)))
    settled = set(
        StopSettled.objects.active().filter(request__in=keys).values_list("request", "stop")
    )
    counts = {
        key: sum((key, name) not in settled for case in found for name in _names(case, key, noted))
        for key, found in cases.items()
    }
    return {key: n for key, n in counts.items() if n}


def _names(
    case: Case, request_id: UUID, noted: Mapping[UUID, Sequence[tuple[UUID | None, str]]]
) -> Iterator[str]:
    """Name what keeps answers of a case back, as cases.decisions names it when it is settled."""
    yield from (key for key, _ in stops_of(case))
    yield from (name for of, name in noted.get(case.pk, ()) if of in {None, request_id})


def _rights(rows: Sequence[RecordsRequest]) -> dict[UUID, str]:
    """Say what is lacking in the right of who asks, where the office asks for it."""
    needed = {one.key for one in authority_needs() if one.needed}
    asks = {one.pk for one in rows if authority_key(one.kind, one.asked_under) in needed}
    found = Authority.objects.active().filter(request__in=[one.pk for one in rows])
    outcomes = dict(found.values_list("request", "outcome"))
    words = {"shown": "", "not shown": "the right of who asks was not shown"}
    return {key: words.get(outcomes.get(key, "open"), "the right of who asks to be checked")
            for key in asks}  # fmt: skip


def _approved(keys: Collection[UUID]) -> dict[UUID, str]:
    """Return, by request, the digest of what is approved; one statement."""
    rows = Approval.objects.active().filter(request__in=keys)
    return dict(rows.values_list("request", "digest"))


@dataclass(frozen=True)
class _Latest:
    """The latest answer of a request, or packet: how it stands, and on which decisions."""

    how: str = ""
    words: str = ""
    decided: str = ""


_NO_ANSWER = _Latest()


def _answers(keys: Sequence[UUID]) -> dict[UUID, _Latest]:
    """Return how the latest answer of each request stands, or else its latest packet.

    What was handed over is left out. Two statements.
    """
    found: dict[UUID, _Latest] = {}
    kinds: Sequence[tuple[type[Packet | Answer], str]] = ((Packet, "packet"), (Answer, "answer"))
    for model, word in kinds:
        released = Release.objects.active().filter(packet_id=OuterRef("pk"))
        rows = (
            rows_of(model).active().filter(~Exists(released), request__in=keys).order_by("number")
        )
        for one in rows.only(
            "request", "state", "number", *(("decided",) if model is Answer else ())
        ):
            how = (
                "made" if one.state == JobState.MADE
                else "making" if one.state in _WORKING
                else "failed"
            )  # fmt: skip
            decided = one.decided if isinstance(one, Answer) else ""
            found[one.request_id] = _Latest(how, f"{word} {one.number}", decided)
    return found


def _letters(keys: Sequence[UUID]) -> tuple[set[UUID], set[UUID]]:
    failed = LetterSending.objects.active().filter(
        letter__request__in=keys,
        letter__voided_at=None,
        outcome__in=[Outcome.FAILED.value, Outcome.UNKNOWN.value],
    )
    drafts = Letter.objects.active().filter(request__in=keys, state=LetterState.DRAFT.value)
    return (
        set(failed.values_list("letter__request", flat=True)),
        set(drafts.values_list("request", flat=True)),
    )


def board_rows(actor: Staff, choice: Choice, today: date) -> Iterator[list[str]]:
    """Return the chosen rows of the board as rows of an export."""
    yield ["Case", "Request", "Cause number", "Party", "Due", "Stands", "Waits for", "What",
           "Handled by"]  # fmt: skip
    for one in _every_row(actor, choice.person, today):
        if choice.group not in {"", one.group} or choice.whom not in {"", one.waits.whom}:
            continue
        asked = one.asked
        yield [
            asked.case.label, asked.get_kind_display(), asked.cause_number, asked.party,
            asked.due_on.isoformat(), GROUP_WORDS[one.group], WHOM_WORDS[one.waits.whom],
            one.waits.words, str(one.handler or ""),
        ]  # fmt: skip


def people_who_handle() -> list[Staff]:
    """Return who may handle requests."""
    rows = Staff.objects.filter(
        is_active=True, groups__name__in=[Role.RECORDS_CLERK.value, Role.SUPERVISOR.value]
    )
    return list(rows.distinct().order_by("display_name", "pk"))


def handling_of(request_id: UUID) -> Handling | None:
    """Return who handles a request, if anybody."""
    rows = Handling.objects.active().filter(request=request_id).select_related("person")
    return rows.first()


def request_of(case: Case, request_id: UUID) -> RecordsRequest:
    """Return a request of the case. Raises NotKnown."""
    rows = RecordsRequest.objects.filter(case=case, pk=request_id)
    return known(rows.select_related("case__decedent").first(), "request")


def orders_of_request(request_id: UUID) -> list[ProtectiveOrder]:
    """Return the protective orders of a request that count."""
    rows = ProtectiveOrder.objects.active().filter(request=request_id)
    return list(rows.select_related("created_by", "ended_noted_by").order_by("made_on", "id"))


def orders_of(case: Case) -> list[ProtectiveOrder]:
    """Return the protective orders of a case that count."""
    rows = ProtectiveOrder.objects.active().filter(case=case)
    return list(rows.select_related("created_by", "ended_noted_by").order_by("made_on", "id"))


def order_of(case: Case, record_id: UUID) -> ProtectiveOrder:
    """Return a protective order of the case. Raises NotKnown."""
    rows = ProtectiveOrder.objects.filter(case=case, pk=record_id)
    return known(rows.select_related("request").first(), "order")


def order_for_update(case: Case, record_id: UUID) -> ProtectiveOrder:
    """Return a protective order of the case, locked. Raises NotKnown."""
    rows = ProtectiveOrder.objects.select_for_update(of=("self",)).filter(case=case, pk=record_id)
    return known(rows.first(), "order")


def copies_due(actor: Staff, until: date) -> list[ProtectiveOrder]:
    """Return orders whose copies are to be returned or destroyed by a day; one statement."""
    rows = ProtectiveOrder.objects.active().filter(
        ended_on=None, back_by__lte=until, case__in=cases_open_to(actor)
    )
    return list(rows.select_related("case", "request").order_by("back_by", "id")[:MOST_ORDERS])


def not_fetched(actor: Staff, now: datetime) -> list[Delivery]:
    """Return answers laid ready under an address that nobody has downloaded whole; one statement.

    Those of the last weeks, also where the address has closed since.
    """
    whole = Opening.objects.filter(delivery=OuterRef("pk"), what="whole")
    rows = Delivery.objects.active().filter(
        ~Exists(whole),
        method="download",
        called_back_at=None,
        release__voided_at=None,
        release__released_at__gte=now - FETCHED_WITHIN,
        case__in=cases_open_to(actor),
    )
    found = rows.select_related("case", "answer__request").order_by("ends_at", "id")
    return list(found[:MOST_ORDERS])


@dataclass(frozen=True)
class ChangedSince:
    """An answer laid ready under an address, of which something stands otherwise now."""

    delivery: Delivery
    words: str


def changed_since(actor: Staff, today: date, now: datetime) -> list[ChangedSince]:
    """Return open addresses whose answers rest on what is no longer approved, or is kept back.

    What became of single records since, the request's page tells. Six statements.
    """
    rows = Delivery.objects.active().filter(
        method="download", called_back_at=None, ends_at__gt=now, case__in=cases_open_to(actor)
    )
    rows = rows.select_related("case__decedent", "answer__request__case__decedent")
    found = list(rows.order_by("ends_at", "id")[:MOST_ORDERS])
    if not found:
        return []
    asked = {one.answer.request_id: one.answer.request for one in found}
    approved, stops = _approved(asked.keys()), _stops(list(asked.values()), today)
    said = [(one, _since(one, approved, stops)) for one in found]
    return [ChangedSince(one, words) for one, words in said if words]


def _since(one: Delivery, approved: Mapping[UUID, str], stops: Mapping[UUID, int]) -> str:
    request = one.answer.request
    if request.state == RequestState.WITHDRAWN:
        return "the request was withdrawn; the address opens nothing"
    if stops.get(request.pk):
        return "something keeps the answer back; the address may open nothing until it is decided"
    if approved.get(request.pk, "") != one.answer.decided:
        return "built before the last decision: call it back, or let it stand"
    return ""


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


def today() -> date:
    """Return today's date in the office."""
    return timezone.localdate()
