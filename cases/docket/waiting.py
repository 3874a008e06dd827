"""What is recorded of open requests, as far as it tells what each waits for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from cases.answers.models import Answer
from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState, is_ahead
from cases.court.models import Authority, Demand, Invoice, RecordsRequest, Release, RequestCase
from cases.court.queries import authority_needs
from cases.court.rules import authority_key
from cases.decisions.items import stops_of
from cases.decisions.models import Approval, ItemDecision, LookAsked, Stop, StopSettled
from cases.decisions.queries import ASKS_RECORDS
from cases.docket.models import Handling
from cases.docket.rules import (
    Facts,
)
from cases.letters.models import Letter, LetterSending
from cases.letters.rules import LetterState, Outcome
from cases.models import Case
from cases.packets.models import Packet
from me_office.accounts.models import Staff
from me_office.audit.models import rows_of
from me_office.jobs.rules import JobState

_WORKING = frozenset({JobState.WAITING.value, JobState.MAKING.value})


def handlers_of(keys: Sequence[UUID]) -> dict[UUID, Staff]:
    """Return who handles each request; one statement."""
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
    approved = approved_of(keys)
    stops = stops_waiting(rows, today)
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


def stops_waiting(rows: Sequence[RecordsRequest], today: date) -> dict[UUID, int]:
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


def approved_of(keys: Collection[UUID]) -> dict[UUID, str]:
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
