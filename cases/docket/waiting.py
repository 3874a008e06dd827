"""What is recorded of open requests, as far as it tells what each waits for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import JSONObject

from cases.access import cases_open_to
from cases.answers.models import Answer
from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState, is_ahead
from cases.court.models import Authority, Demand, Invoice, RecordsRequest, Release, RequestCase
from cases.court.queries import authority_needs
from cases.court.rules import authority_key
from cases.decisions.items import CASE_TOLD, CaseTold, case_told, stops_told
from cases.decisions.models import Approval, LookAsked, Stop, StopSettled
from cases.decisions.queries import ASKS_RECORDS, standing_on_page
from cases.decisions.tally import NOTHING, Tally, tallies, tally_of
from cases.docket.models import Handling
from cases.docket.rules import Facts
from cases.letters.models import Letter, LetterSending
from cases.letters.rules import LetterState, Outcome
from cases.models import Case
from cases.packets.models import Packet
from cases.queries.any_of import any_of
from me_office.accounts.models import Staff
from me_office.audit.models import ActiveQuerySet, Record, rows_of
from me_office.jobs.rules import JobState

_WORKING = frozenset({JobState.WAITING.value, JobState.MAKING.value})
RowT = TypeVar("RowT", bound=Record)

_RIGHT_WORDS = {"shown": "", "not shown": "the right of who asks was not shown"}


def handlers_of(keys: Collection[UUID]) -> dict[UUID, Staff]:
    """Return who handles each request; one statement."""
    rows = Handling.objects.active().filter(any_of("request", keys)).select_related("person")
    return {one.request_id: one.person for one in rows}


@dataclass(frozen=True)
class _Read:
    """What is read of each request in one statement, in this order."""

    key: UUID
    due_on: date
    stopped_since: date | None
    kind: str
    asked_under: str
    of_case: CaseTold
    kinds: Sequence[str]
    sent: bool
    looks: Sequence[str]
    approved: str | None
    right: str | None
    packet: Mapping[str, Any] | None
    answer: Mapping[str, Any] | None
    unpaid: str | None
    letter_failed: bool
    letter_draft: bool
    settled: Sequence[str]


def facts_of(
    rows: Sequence[RecordsRequest], today: date, actor: Staff | None = None
) -> dict[UUID, Facts]:
    """Return what is recorded of open requests; six statements."""
    asked = RecordsRequest.objects.filter(any_of("pk", [one.pk for one in rows]))
    return facts_in(asked, today, actor)


def facts_on_page(
    asked: RecordsRequest, demands: Sequence[Demand], today: date, actor: Staff
) -> Facts:
    """Return the same of one request on its own page, whose other parts have read most of it."""
    if not any(one.kind == ASKS_RECORDS for one in demands):
        return facts_of([asked], today, actor)[asked.pk]
    [one] = _read(RecordsRequest.objects.filter(pk=asked.pk))
    standing = standing_on_page(asked, actor)
    dates = _testimony([asked.pk], today) if "testimony" in one.kinds else {}
    return _facts(
        one, dates.get(asked.pk, _NO_DATE),
        tally_of([standing.state_of(each) for each in standing.demands]),
        stops=sum(not each.settled for each in standing.stops),
        closed_cases=standing.closed_cases,
        has_right=not standing.right,
    )  # fmt: skip


def facts_in(
    rows: QuerySet[RecordsRequest], today: date, actor: Staff | None = None
) -> dict[UUID, Facts]:
    """Return the same of the requests of a query, in its order.

    With an actor, of the cases that they may know of alone; how many others are asked for is
    counted. They keep nothing back on the board: whoever may know of one decides about it.
    """
    found = _read(rows)
    keys = [one.key for one in found]
    testimony = _testimony(keys, today) if any("testimony" in one.kinds for one in found) else {}
    cases, closed = _cases({one.key: one.of_case for one in found}, actor)
    stops = _unsettled(
        cases, {(one.key, name) for one in found for name in one.settled}, today
    )  # fmt: skip
    counts = tallies(
        [one.key for one in found if ASKS_RECORDS in one.kinds],
        closed={case_id for _, case_id in closed},
    )
    needed = {one.key for one in authority_needs() if one.needed}
    others = Counter(key for key, _ in closed)
    return {
        one.key: _facts(
            one, testimony.get(one.key, _NO_DATE), counts.get(one.key, NOTHING),
            stops=stops.get(one.key, 0),
            closed_cases=others[one.key],
            has_right=authority_key(one.kind, one.asked_under) not in needed,
        )
        for one in found
    }  # fmt: skip


def _facts(
    one: _Read, dates: _Dates, tally: Tally, *, stops: int, closed_cases: int, has_right: bool
) -> Facts:
    # The latest answer is told, or else the latest packet.
    latest, called = (one.answer, "answer") if one.answer else (one.packet, "packet")
    decided = one.answer["decided"] if one.answer else ""
    right = _RIGHT_WORDS.get(one.right or "open", "the right of who asks to be checked")
    return Facts(
        due_on=one.due_on,
        stopped_since=one.stopped_since,
        demands=len(one.kinds),
        records=one.kinds.count(ASKS_RECORDS),
        testimony=one.kinds.count("testimony"),
        reaching=tally.demands,
        items=tally.items,
        undecided=tally.undecided,
        closed_cases=closed_cases,
        testifies_on=dates.ahead,
        testified=dates.done,
        not_told_of=dates.over,
        sent=one.sent,
        stops=stops,
        looks_of=tuple(dict.fromkeys(one.looks)),
        approved=one.approved is not None,
        right_lacks="" if has_right else right,
        answer=_how(latest["state"]) if latest else "",
        answer_words=f"{called} {latest['number']}" if latest else "",
        answer_is_old=decided not in {"", one.approved or ""},
        unpaid=one.unpaid or "",
        letter_failed=one.letter_failed,
        letter_draft=one.letter_draft,
    )


def _how(state: str) -> str:
    if state == JobState.MADE:
        return "made"
    return "making" if state in _WORKING else "failed"


def _read(rows: QuerySet[RecordsRequest]) -> list[_Read]:
    """Read what stands beside each request by its key; one statement."""
    demands = _of(Demand)
    looks = _of(LookAsked).filter(answered_at=None).order_by("pk")
    failed = LetterSending.objects.active().filter(
        letter__request=OuterRef("pk"),
        letter__voided_at=None,
        outcome__in=[Outcome.FAILED.value, Outcome.UNKNOWN.value],
    )
    bills = _of(Invoice).filter(paid_on=None, waived_because="").order_by("-created_at", "-id")
    beside = {
        "kinds": ArraySubquery(demands.values("kind")),
        "sent": Exists(_of(Release)),
        "looks": ArraySubquery(looks.values("asked_of__display_name")),
        "approved": Subquery(_of(Approval).values("digest")[:1]),
        "right": Subquery(_of(Authority).values("outcome")[:1]),
        "packet": _latest(Packet),
        "answer": _latest(Answer, decided=F("decided")),
        "unpaid": Subquery(bills.values("number")[:1]),
        "failed": Exists(failed),
        "draft": Exists(_of(Letter).filter(state=LetterState.DRAFT.value)),
        "settled": ArraySubquery(_of(StopSettled).values("stop")),
    }
    read = rows.annotate(**beside).values_list(
        "pk", "due_on", "stopped_since", "kind", "asked_under",
        *(f"case__{name}" for name in CASE_TOLD), *beside,
    )  # fmt: skip
    first, last = 5, 5 + len(CASE_TOLD)
    found = []
    for row in read:
        values: Sequence[Any] = (*row[:first], CaseTold(*row[first:last]), *row[last:])
        found.append(_Read(*values))
    return found


def _of(model: type[RowT]) -> ActiveQuerySet[RowT]:
    """Return, for a query of requests, the rows that count of each, in no order."""
    return rows_of(model).active().filter(request=OuterRef("pk")).order_by()


def _latest(model: type[Packet | Answer], **more: Any) -> Subquery:
    """Return the latest of its packets or answers that was not handed over."""
    released = Release.objects.active().filter(packet_id=OuterRef("pk"))
    rows = _of(model).filter(~Exists(released)).order_by("-number")
    return Subquery(rows.values(told=JSONObject(state="state", number="number", **more))[:1])


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
    rows = Appearance.objects.active().filter(any_of("request", keys)).exclude(kind="meeting")
    for key, state, at in rows.order_by("begins_at").values_list("request", "state", "begins_at"):
        known_now, day = found.get(key, _NO_DATE), at.astimezone(settings.OFFICE_ZONE).date()
        if is_ahead(state) and day >= today:
            found[key] = replace(known_now, ahead=known_now.ahead or day)
        elif is_ahead(state):
            found[key] = replace(known_now, over=known_now.over or day)
        elif state == AppearanceState.DONE:
            found[key] = replace(known_now, done=True)
    return found


def stops_waiting(rows: Sequence[RecordsRequest], today: date) -> dict[UUID, int]:
    """Count what keeps each answer back and is not settled for it; three statements."""
    settled = StopSettled.objects.active().filter(any_of("request", [one.pk for one in rows]))
    cases, _ = _cases({one.pk: case_told(one.case) for one in rows}, None)
    return _unsettled(cases, set(settled.values_list("request", "stop")), today)


def _cases(
    own: Mapping[UUID, CaseTold], actor: Staff | None
) -> tuple[dict[UUID, list[CaseTold]], set[tuple[UUID, UUID]]]:
    """Return the cases that each request asks for, and which are closed to who asks.

    By requests whose own cases are given; one statement.
    """
    found, closed = {key: [case] for key, case in own.items()}, set()
    further = RequestCase.objects.active().filter(any_of("request", own)).order_by("id")
    open_ones = Case.objects.all() if actor is None else cases_open_to(actor)
    rows = further.annotate(open=Exists(open_ones.filter(pk=OuterRef("case"))))
    for is_open, key, *told in rows.values_list(
        "open", "request", *(f"case__{name}" for name in CASE_TOLD)
    ):
        case = CaseTold(*told)
        if is_open:
            found[key].append(case)
        else:
            closed.add((key, case.key))
    return found, closed


def _unsettled(
    cases: Mapping[UUID, Sequence[CaseTold]], settled: Collection[tuple[UUID, str]], today: date
) -> dict[UUID, int]:
    """Count the same of requests and the cases that each asks for; one statement."""
    noted: dict[UUID, list[tuple[UUID | None, str]]] = defaultdict(list)
    every = {case.key for found in cases.values() for case in found}
    stands = Stop.objects.active().filter(any_of("case", every)).order_by()
    held = stands.filter(Q(until=None) | Q(until__gte=today))
    for case_id, request_id, key in held.values_list("case", "request", "pk"):
        noted[case_id].append((request_id, str(key)))
    counts = {
        key: sum((key, name) not in settled for case in found for name in _names(case, key, noted))
        for key, found in cases.items()
    }
    return {key: n for key, n in counts.items() if n}


def _names(
    case: CaseTold, request_id: UUID, noted: Mapping[UUID, Sequence[tuple[UUID | None, str]]]
) -> Iterator[str]:
    """Name what keeps answers of a case back, as cases.decisions names it when it is settled."""
    yield from (key for key, _ in stops_told(case))
    yield from (name for of, name in noted.get(case.key, ()) if of in {None, request_id})


def approved_of(keys: Collection[UUID]) -> dict[UUID, str]:
    """Return, by request, the digest of what is approved; one statement."""
    rows = Approval.objects.active().filter(any_of("request", keys))
    return dict(rows.values_list("request", "digest"))
