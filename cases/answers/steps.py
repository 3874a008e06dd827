"""What answers add to the page of a request, and to the worklists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils import timezone

from cases import worklists
from cases.access import Act, may
from cases.answers import (
    certificate,  # noqa: F401
    queries,
    saying,  # noqa: F401
)
from cases.answers.comparing import Differs
from cases.answers.models import Answer, Delivery
from cases.answers.since import differs_of
from cases.court import side
from cases.court.models import Demand, RecordsRequest
from cases.court.on_page import once
from cases.court.rules import RequestState
from cases.court.side import Offer
from cases.court.timeline import moment, tell_moments
from cases.decisions.items import register_sent
from cases.decisions.queries import ASKS_RECORDS, standing_on_page
from cases.worklists import Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.queries import HistoryEntry
from me_office.jobs.rules import JobState

CLERKS = frozenset({Role.RECORDS_CLERK})


@dataclass(frozen=True)
class Changed:
    """A built answer that stands otherwise now, and its addresses that are open."""

    answer: Answer
    differs: Sequence[Differs]
    addresses: Sequence[Delivery]

    @property
    def is_firm(self) -> bool:
        """Tell whether it leaves the office in no way, and its addresses open nothing."""
        return any(one.firm for one in self.differs)


@dataclass(frozen=True)
class AnswersShown:
    """The answers to a request, what has changed since, and whether another may be asked for."""

    asked: RecordsRequest
    answers: Sequence[Answer]
    may_build: bool
    may_call_back: bool
    changed: Sequence[Changed] = ()
    is_approved: bool = False

    @property
    def to_deliver(self) -> Answer | None:
        """The newest that is built and did not leave the office yet."""
        newest = next((one for one in self.answers if not one.is_voided), None)
        return newest if newest is not None and newest.is_built else None


def _answers(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> AnswersShown | None:
    found = _all(asked)
    may_do = may(actor, Act.BUILD_ANSWER, asked.case)
    may_build = asked.state == RequestState.OPEN and may_do
    if not found:
        return AnswersShown(asked, found, may_build, may_do) if may_build else None
    return AnswersShown(asked, found, may_build, may_do, _changed(actor, asked, found))


def _all(asked: RecordsRequest) -> list[Answer]:
    return once(asked, queries.answers_to, lambda: queries.answers_to(asked.pk))


def _changed(actor: Staff, asked: RecordsRequest, answers: Sequence[Answer]) -> list[Changed]:
    """Compare what may still leave: the latest answer until it has left, and open addresses."""
    built = [one for one in answers if one.is_built and not one.is_voided]
    released = queries.released_of(built)
    open_ones = queries.open_addresses(built)
    still = {one.answer_id for one in open_ones}
    asks = [one for place, one in enumerate(built)
            if one.pk in still or (place == 0 and one.pk not in released)]  # fmt: skip
    if not asks:
        return []
    differs = differs_of(asks, standing_on_page(asked, actor))
    return [
        Changed(one, differs[one], [each for each in open_ones if each.answer_id == one.pk])
        for one in asks
        if differs[one]
    ]


def _without_answer(asked: RecordsRequest, part: AnswersShown, handles: bool) -> list[Offer] | None:
    if part.answers:
        return None
    # How it is built stands with what may go out; without demands there is nothing to decide.
    documents = Offer(
        "Redact documents",
        reverse("redaction:documents", args=[asked.case_id]) + f"?request={asked.pk}",
    )
    return [documents] if part.may_build else []


def _next(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> AnswersShown | None:
    """Read what can be done now: hand over what is built, or build what was approved."""
    if asked.state != RequestState.OPEN or not may(actor, Act.BUILD_ANSWER, asked.case):
        return None
    if not any(one.kind == ASKS_RECORDS for one in demands):
        return None
    standing = standing_on_page(asked, actor)
    left = queries.not_sent(asked.pk) if _all(asked) else []
    found = AnswersShown(asked, left, True, False, is_approved=standing.is_approved)
    return found if found.answers or found.is_approved else None


def _openings(
    actor: Staff, asked: RecordsRequest, since: datetime | None, until: datetime | None
) -> list[HistoryEntry]:
    """Return when somebody was at the address of a download, between two moments."""
    return [
        moment(
            one.at, f"{one.get_what_display()}, download for {one.delivery.to_whom}", one.address
        )
        for one in queries.openings_of_request(asked.pk, since, until)
    ]


def _to_hand_over_row(answer: Answer, now: datetime) -> Waiting:
    due = answer.request.due_at(timezone.localtime(now).date())
    failed = answer.state == JobState.FAILED
    holds = (
        f"{answer.pages} pages, {answer.photographs} photographs; {answer.case.decedent.full_name}"
    )
    return Waiting(
        number=answer.case.label,
        title=f"{answer.request.title}: answer {answer.number} "
        f"{'was not built' if failed else 'is built, to be handed over'}",
        detail=answer.failure.partition(". ")[0] if failed else holds,
        when=due.words,
        url=reverse("answers:answer", args=[answer.case_id, answer.pk]),
        urgency=due.urgency or ("attention" if failed else ""),
    )


def _to_hand_over(actor: Staff, now: datetime) -> list[Waiting]:
    rows = queries.answers_to_hand_over(actor, most=worklists.LIMIT)
    return [_to_hand_over_row(answer, now) for answer in rows]


worklists.register(
    worklists.Section("answers-to-hand-over", "Answers to hand over", CLERKS, 19, _to_hand_over)
)
tell_moments("answers", _openings)
register_sent("answers", queries.sent_in_answers)
side.register(
    side.Section(
        "answers", side.ANSWERS, "answers/_side_answers.html", _answers, fold=_without_answer
    ),
    side.Section("answer", 25, "answers/_middle.html", _next, column=side.MIDDLE),
)
