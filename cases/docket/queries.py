"""Reads of the board, of who handles what and of orders, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from cases.access import cases_open_to
from cases.answers.models import Delivery, Opening
from cases.court.models import RecordsRequest
from cases.court.rules import Due, RequestState, due_words
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.rules import WEEK, Facts, Group, Waits, Whom, group_of, waits_of
from cases.docket.waiting import approved_of, facts_in, handlers_of, stops_waiting
from cases.models import Case
from cases.queries.any_of import any_of
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import known

# So many are read, the soonest due: an office with more open requests is told so. What each waits
# for is counted for all of them, which is what the board's time is spent on.
MOST_OPEN = 200
PAGE = 40
MOST_ORDERS = 100
# Longer than any address stays open.
FETCHED_WITHIN = timedelta(days=60)


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
    """Return the board of open requests, the soonest due first; ten statements at most.

    What each of them waits for is read of all, and the rows themselves of those that are shown.
    """
    every = _open(actor, choice.person)
    groups = _counted(every, today)
    told, whole = _soonest(actor, _in_group(every, choice.group, today), today)
    whom = {sort: sum(one.waits.whom is sort for one in told) for sort in Whom}
    chosen = [one for one in told if not choice.whom or one.waits.whom == choice.whom]
    order = list(Group)
    chosen.sort(key=lambda one: order.index(one.group))
    pages = max(1, -(-len(chosen) // PAGE))
    at = min(max(page, 1), pages)
    shown = _rows(chosen[(at - 1) * PAGE : at * PAGE], today)
    return Board(shown, len(chosen), groups, whom, whole, at, pages)


def read_rows(actor: Staff, person: str, today: date) -> tuple[list[Row], bool]:
    """Return the open requests with what they wait for, and whether these are all."""
    told, whole = _soonest(actor, _open(actor, person), today)
    return _rows(told, today), whole


def _soonest(actor: Staff, rows: QuerySet[RecordsRequest], today: date) -> tuple[list[_Told], bool]:
    found = _told(rows[: MOST_OPEN + 1], today, actor)
    return found[:MOST_OPEN], len(found) <= MOST_OPEN


def _groups(today: date) -> dict[Group, Q]:
    """Return which requests stand in each part of the board, as `group_of` says of one."""
    runs = Q(stopped_since=None)
    return {
        Group.OVERDUE: runs & Q(due_on__lt=today),
        Group.WEEK: runs & Q(due_on__gte=today, due_on__lte=today + WEEK),
        Group.LATER: runs & Q(due_on__gt=today + WEEK),
        Group.STOPPED: ~runs,
    }


def _in_group(rows: QuerySet[RecordsRequest], group: str, today: date) -> QuerySet[RecordsRequest]:
    return rows.filter(_groups(today)[Group(group)]) if group else rows


def _counted(rows: QuerySet[RecordsRequest], today: date) -> dict[Group, int]:
    """Count the open requests of each part, of all and not only of those that are read."""
    found = rows.order_by().aggregate(
        **{group.value: Count("pk", filter=which) for group, which in _groups(today).items()}
    )
    return {group: found[group.value] for group in Group}


def _open(actor: Staff, person: str) -> QuerySet[RecordsRequest]:
    rows = RecordsRequest.objects.filter(
        state=RequestState.OPEN.value, case__in=cases_open_to(actor)
    )
    handled = Handling.objects.active().filter(request=OuterRef("pk"))
    if person == "nobody":
        rows = rows.filter(~Exists(handled))
    elif person:
        rows = rows.filter(Exists(handled.filter(person=UUID(person))))
    return rows.order_by("due_on", "id")


@dataclass(frozen=True)
class _Told:
    """How a request stands, before its row is read."""

    key: UUID
    facts: Facts
    group: Group
    waits: Waits


def _told(rows: QuerySet[RecordsRequest], today: date, actor: Staff) -> list[_Told]:
    return [
        _Told(key, facts, group_of(facts, today), waits_of(facts))
        for key, facts in facts_in(rows, today, actor).items()
    ]


def _rows(told: Sequence[_Told], today: date) -> list[Row]:
    """Read the rows of requests and who handles them; two statements."""
    keys = [one.key for one in told]
    rows = RecordsRequest.objects.filter(any_of("pk", keys)).select_related("case__decedent")
    found = {one.pk: one for one in rows}
    handlers = handlers_of(keys)
    return [
        Row(
            found[one.key], one.facts, one.group, one.waits,
            due_words(one.facts.due_on, today), handlers.get(one.key),
        )
        for one in told
    ]  # fmt: skip


def _every_row(actor: Staff, choice: Choice, today: date) -> Iterator[Row]:
    """Return all chosen open requests, read in parts."""
    rows = _in_group(_open(actor, choice.person), choice.group, today)
    keys = list(rows.values_list("pk", flat=True))
    for start in range(0, len(keys), MOST_OPEN):
        part = RecordsRequest.objects.filter(any_of("pk", keys[start : start + MOST_OPEN]))
        yield from _rows(
            [
                one
                for one in _told(part.order_by("due_on", "id"), today, actor)
                if choice.whom in {"", one.waits.whom}
            ],
            today,
        )


def board_rows(actor: Staff, choice: Choice, today: date) -> Iterator[list[str]]:
    """Return the chosen rows of the board as rows of an export."""
    yield ["Case", "Request", "Cause number", "Party", "Due", "Stands", "Waits for", "What",
           "Handled by"]  # fmt: skip
    for one in _every_row(actor, choice, today):
        asked = one.asked
        yield [
            asked.case.label, asked.get_kind_display(), asked.cause_number, asked.party,
            asked.due_on.isoformat(), one.group.words, one.waits.whom.words,
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
    approved, stops = approved_of(asked.keys()), stops_waiting(list(asked.values()), today)
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


def today() -> date:
    """Return today's date in the office."""
    return timezone.localdate()
