"""Page numbers that are given; answers asked for, made, delivered and called back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong, require_for_office
from cases.actions.requests import Alike
from cases.answers import queries, rules
from cases.answers.certificate import wrong_in_wording
from cases.answers.chosen import (
    approval_of,
    cases_asked_for,
    chosen_items,
    why_not_ready,
)
from cases.answers.comparing import Held
from cases.answers.models import (
    Answer,
    CertificateWording,
    NumberedPages,
    PageRun,
    PageSeries,
)
from cases.court.opening import request_to_change
from cases.court.rules import RequestState
from cases.packets.built import MadeFile, note_built
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused, StaleRecord
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import recorded_before, save_new, save_next_version, void
from me_office.entries import Entry
from me_office.jobs import actions as jobs

SERIES_FIELDS = ("prefix", "digits")
WORDING_FIELDS = ("words", "law", "approved_by", "approved_on")
ANSWER_FIELDS = ("with_certificate", "with_exhibit_list", "camera_notes")
BUILD_TASK = "cases.answers.tasks.build_answer"


@dataclass(frozen=True)
class NumberedPart:
    """One document of an answer and the numbers of its pages."""

    first: int
    last: int
    kind: str
    item: str
    label: str
    digest: str
    demand: int | None
    case_id: UUID


@dataclass(frozen=True)
class MadeAnswer(MadeFile):
    """What an attempt made, with what is in it and the numbers of its pages."""

    files: int
    withheld: int
    run_id: UUID
    parts: Sequence[NumberedPart]
    sent_items: Sequence[Held] = ()


@action
def replace_page_series(
    actor: Staff, *, record_id: UUID, entry: Entry, of: UUID | None = None, reason: str = ""
) -> PageSeries:
    """Number the pages of later answers anew: another prefix, from its first number on.

    `of` is the series that was read, which it takes the place of; None where there is none yet.
    Raises NotAllowed, Refused, StaleRecord, Conflict, Invalid.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    made = PageSeries(pk=record_id)
    set_fields(made, entry, SERIES_FIELDS)
    made.prefix = made.prefix.strip().upper()
    made.plain = rules.plain_prefix(made.prefix)
    there = recorded_before(made, assigned=("next",))
    if there is not None:
        return there
    refuse_wrong(rules.wrong_in_series(made.prefix, made.digits))
    standing = queries.series_for_update()
    if standing is not None and standing.pk != of:
        raise StaleRecord(standing)
    if standing is None and of is not None:
        raise Refused("The page numbers were changed meanwhile. Read them again.")
    if PageSeries.objects.filter(plain=made.plain).exists():
        raise Refused(
            "The office has numbered pages with this prefix before. Choose another.",
            field="prefix",
        )
    if standing is not None:
        void(actor, standing, reason=f"Replaced by {made.prefix}.")
    return save_new(actor, made, own_key=True)


@action
def give_page_numbers(
    actor: Staff, *, answer_id: UUID, attempt: int, count: int, reason: str = ""
) -> PageRun:
    """Give so many page numbers to one attempt at an answer: they are never given again.

    Raises NotKnown, NotAllowed, and TakenOver when a later attempt took over.
    """
    answer = queries.answer_for_update(answer_id)
    access.require(actor, Act.BUILD_ANSWER, answer.case)
    jobs.require_attempt(answer, attempt)
    series = _series_to_number(actor)
    run = PageRun(
        pk=new_id(),
        case=answer.case,
        series=series,
        answer=answer,
        attempt=attempt,
        first=series.next,
        last=series.next + count - 1,
    )
    series.next += count
    save_next_version(actor, series)
    return save_new(actor, run, own_key=True)


def _series_to_number(actor: Staff) -> PageSeries:
    """Return the office's series, locked; the first one is made where nobody chose any."""
    series = queries.series_for_update()
    if series is not None:
        return series
    made = PageSeries(pk=new_id(), plain=rules.plain_prefix(rules.DEFAULT_PREFIX))
    return save_new(actor, made, own_key=True)


def require_all_cases(actor: Staff, case_ids: set[UUID]) -> None:
    """Refuse somebody who may not know of a case whose records go out. Raises Refused."""
    open_ones = access.cases_open_to(actor).filter(pk__in=case_ids).count()
    if open_ones != len(case_ids):
        raise Refused(
            "It also sends records of a case that is open to its named team only; a member of the "
            "team does this."
        )


@action
def request_answer(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Answer:
    """Ask for the packet that answers a request as it was decided and approved; a job makes it.

    `entry` holds ANSWER_FIELDS. Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    asked = request_to_change(actor, case_id, request_id, act=Act.BUILD_ANSWER)
    case = asked.case
    last = Answer.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    answer = Answer(
        pk=record_id, case=case, request=asked, number=last + 1, decided_at=timezone.now()
    )
    set_fields(answer, entry, ANSWER_FIELDS)
    made = ("number", "state", "attempts", "decided", "decided_at", "built_at", "path", "sha256",
            "size_bytes", "pages", "photographs", "files", "withheld",
            "failure", "sent_items")  # fmt: skip
    there = recorded_before(answer, assigned=made)
    if there is not None:
        return there
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state}; an answer is built for an open one.")
    # Of a case that is open to its named team only nobody else is told what it lacks.
    lacks = why_not_ready(asked, actor)
    if lacks:
        raise Refused(" ".join(lacks))
    require_all_cases(actor, {one.case_id for one in chosen_items(asked) if one.goes_out})
    if queries.answer_under_way(asked.pk) is not None:
        raise Refused("An answer to this request is already being built.")
    approval = approval_of(asked)
    if approval is None:
        raise Refused("A second person has not approved what was decided.")
    answer.decided, answer.decided_at = approval
    save_new(actor, answer)
    jobs.send_after_commit(BUILD_TASK, answer.pk)
    return answer


@action
def finish_answer(
    actor: Staff, *, answer_id: UUID, attempt: int, made: MadeAnswer, reason: str = ""
) -> Answer:
    """Publish what an attempt made: from here on the answer is built and never changes.

    Raises NotAllowed, and TakenOver when a later attempt took over.
    """
    answer = queries.answer_for_update(answer_id)
    access.require(actor, Act.BUILD_ANSWER, answer.case)
    jobs.require_attempt(answer, attempt)
    run = PageRun.objects.select_related("series").get(pk=made.run_id, answer=answer)
    for one in made.parts:
        part = NumberedPages(
            pk=new_id(), case_id=one.case_id, run=run, answer=answer, first=one.first,
            last=one.last, kind=one.kind, item=one.item, label=one.label[:240],
            digest=one.digest, demand=one.demand,
        )  # fmt: skip
        save_new(actor, part, own_key=True)
    note_built(answer, made)
    answer.files, answer.withheld = made.files, made.withheld
    answer.sent_items = [one.as_row for one in made.sent_items]
    return jobs.finish(actor, answer)


@action
def replace_certificate_wording(
    actor: Staff, *, record_id: UUID, edition: int, entry: Entry, reason: str = ""
) -> CertificateWording:
    """Put another wording of the custodian's certificate in place, for answers built later.

    `edition` is the one that was read, 0 for the standard wording. `entry` holds WORDING_FIELDS.
    Raises NotAllowed, Refused, StaleRecord, Conflict, Invalid.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    made = CertificateWording(pk=record_id, number=edition + 1)
    set_fields(made, entry, WORDING_FIELDS)
    there = recorded_before(made)
    if there is not None:
        return there
    wrong = wrong_in_wording(made.words)
    if wrong:
        raise Refused(wrong, field="words")
    standing = queries.certificate_wording()
    if standing is not None and standing.number != edition:
        raise StaleRecord(standing)
    if standing is None and edition:
        raise Refused("The wording was replaced meanwhile. Read it again.")
    return save_new(actor, made, own_key=True)


ATTEMPTS = Alike(
    "answer",
    Act.BUILD_ANSWER,
    BUILD_TASK,
    "reads what was decided",
    lambda key, case=None: queries.answer_for_update(key, case=case),
    key="answer_id",
    # It is built as whoever asked may: nobody else lets out what they may not know of.
    asks_more=lambda actor, answer: require_all_cases(
        actor, {one.pk for one in cases_asked_for(answer.request)}
    ),
)
begin_answer, fail_answer = ATTEMPTS.begin, ATTEMPTS.fail
retry_answer = ATTEMPTS.retry
leave_answer = ATTEMPTS.leaves("leave_answer")
