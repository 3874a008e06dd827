"""Writing the report, peer review, sign-off, addenda."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions import move_case
from cases.actions.entry import case_to_change
from cases.checking.queries import blocking_review
from cases.models import Case, CaseRecord
from cases.queries import case_for_update
from cases.review import queries
from cases.review.anchors import about
from cases.review.comment_rules import Anchor, Weight, unknown_causes
from cases.review.content import report_content
from cases.review.late import result_to_rest_on
from cases.review.models import Addendum, Report, ReportDraft, ReviewComment, ReviewDecision
from cases.review.needs import lacking_for
from cases.review.peer_actions import draft_under_review, note_needs, require_no_part
from cases.review.reported import from_outside, require_acknowledged
from cases.review.rules import ReportState, can_move, digest_of, missing_before_review
from cases.review.threads import comment_for_update
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused, StaleRecord
from me_office.audit.fields import entered, set_fields
from me_office.audit.records import (
    recorded_as,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

NOT_THERE = {
    Anchor.PASSAGE: "This passage is not in the draft.",
    Anchor.FINDING: "This finding is not in the draft.",
    Anchor.MARK: "There is no such mark in the draft.",
    Anchor.PHOTOGRAPH: "There is no such photograph in this case.",
    Anchor.DRAFT: "A comment on the whole draft names no part of it.",
}
REPORT_FIELDS = ("history", "summary", "opinion")
# Common practice: the author's signature says whose opinion it is.
AUTHORS_STATEMENT = "I have read this report whole. It says what I found and what I conclude."


@action
def write_report(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Report:
    """Write or change the report's own words. Version 0 begins the report.

    Raises NotAllowed, StaleRecord, Invalid.
    """
    entry = entered(Report, entry, REPORT_FIELDS)
    case = case_to_change(actor, Act.WRITE_REPORT, case_id)
    report = Report.objects.filter(case=case).select_for_update().first()
    if report is None:
        report = Report(pk=record_id, case=case, author=actor)
        set_fields(report, entry, REPORT_FIELDS)
        return save_new(actor, report)
    if version == 0 and report.pk != record_id:
        raise StaleRecord(report)
    if version == 0 and all(getattr(report, name) == entry.get(name) for name in REPORT_FIELDS):
        return report
    require_version(report, version)
    set_fields(report, entry, REPORT_FIELDS)
    return save_next_version(actor, report)


@action
def submit_report(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int,
    note: str = "",
    acknowledged: Sequence[str] = (),
    reviewer: UUID | None = None,
    reason: str = "",
) -> ReportDraft:
    """Freeze the report as a numbered draft, signed by its author, and send it to peer review.

    The actor is the author: a pathologist, who gave the own password where this was asked.
    `record_id` is the draft's key; `acknowledged` are the keys of what is not available, each of
    which the report prints; `reviewer` is who is asked to review it. Raises NotAllowed,
    StaleRecord, Refused.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.WRITE_REPORT, case)
    sent = ReportDraft.objects.filter(pk=record_id, case=case).first()
    if sent is not None:
        return recorded_as(sent, created_by_id=actor.pk, note=note.strip())
    access.require(actor, Act.WRITE_REPORT, case)
    report = report_for_update(case)
    require_version(report, version)
    lacking = missing_before_review(queries.readiness_of(case))
    lacking += [one.sentence for one in blocking_review(case)]
    if lacking:
        raise Refused(" ".join(lacking))
    require_acknowledged(from_outside(case.pk).not_available, acknowledged)
    move_report(report, ReportState.SUBMITTED)
    now = timezone.now()
    report.drafts_sent += 1
    report.submitted_at = now
    report.author = actor
    save_next_version(actor, report)
    content = report_content(case.pk)
    draft = save_new(
        actor,
        ReportDraft(
            pk=record_id,
            case=case,
            report=report,
            number=report.drafts_sent,
            content=content,
            sha256=digest_of(content),
            submitted_at=now,
            note=note.strip(),
            signed_as=actor.printed_name,
            signed_title=actor.job_title,
            statement=AUTHORS_STATEMENT,
        ),
    )
    note_needs(actor, case, draft, reviewer)
    move_case(actor, case=case, to=CaseState.IN_REVIEW)
    return draft


@action
def comment_on_passage(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    draft_id: UUID,
    comment: str,
    passage: str = "",
    anchor: str = Anchor.PASSAGE,
    weight: str = Weight.SUGGESTION,
    reason: str = "",
) -> ReviewComment:
    """Say something about the draft under review: a passage of it, or what `anchor` says.

    `passage` is the key of the passage, finding, mark or photograph; of the whole draft it is
    empty. Raises NotAllowed, Refused, Invalid.
    """
    case = case_to_change(actor, Act.REVIEW, case_id)
    draft = draft_under_review(case, draft_id)
    if anchor not in set(Anchor):
        raise Refused("Choose what the comment is about.", field="anchor")
    of = about(case.pk, draft.content, Anchor(anchor), passage)
    if of is None:
        raise Refused(NOT_THERE[Anchor(anchor)], field="passage")
    if not comment.strip():
        raise Refused("Write the comment.", field="comment")
    return save_new(
        actor,
        ReviewComment(
            pk=record_id,
            case=case,
            draft=draft,
            anchor=anchor,
            passage=passage,
            of_finding=of.of_finding,
            quoted=of.quoted,
            weight=weight,
            comment=comment.strip(),
        ),
    )


@action
def answer_comment(
    actor: Staff, *, case_id: UUID, comment_id: UUID, version: int, answer: str, reason: str = ""
) -> ReviewComment:
    """Answer a reviewer's comment. Raises NotAllowed, NotKnown, StaleRecord, Refused."""
    case = case_to_change(actor, Act.WRITE_REPORT, case_id)
    comment = comment_for_update(case, comment_id)
    require_version(comment, version)
    if not answer.strip():
        raise Refused("Write the answer.", field="answer")
    comment.answer = answer.strip()
    comment.answered_at, comment.answered_by = timezone.now(), actor
    return save_next_version(actor, comment)


@action
def return_report(
    actor: Staff, *, case_id: UUID, record_id: UUID, draft_id: UUID, words: str,
    causes: Sequence[str] = (), reason: str = "",
) -> ReviewDecision:  # fmt: skip
    """Send the draft back to its author, with words; the case is open again.

    `causes` are keys of `comment_rules.RETURN_CAUSES`, to be counted. Raises NotAllowed, Refused.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.REVIEW, case)
    made = ReviewDecision.objects.filter(pk=record_id, case=case).first()
    if made is not None:
        return recorded_as(
            made, outcome="returned", draft_id=draft_id, decided_by_id=actor.pk,
            words=words.strip(), causes=list(causes),
        )  # fmt: skip
    access.require(actor, Act.REVIEW, case)
    draft = draft_under_review(case, draft_id)
    words = require_reason(words, field="words")
    if unknown_causes(causes):
        raise Refused("Choose among the causes of return.", field="causes")
    report = report_for_update(case)
    move_report(report, ReportState.RETURNED)
    save_next_version(actor, report)
    returned = decision_on_draft(actor, record_id, draft, "returned", words, causes=list(causes))
    decision = save_new(actor, returned)
    move_case(actor, case=case, to=CaseState.OPEN)
    return decision


@action
def sign_off(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    draft_id: UUID,
    sha256: str,
    words: str = "",
    reason: str = "",
) -> ReviewDecision:
    """Sign the draft off and lock the case file.

    `sha256` is the digest of what the reviewer read. Nobody signs off what they had a part in, and
    nothing is signed that is not what the case file says now. Raises NotAllowed, Refused.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.SIGN_REVIEW, case)
    made = ReviewDecision.objects.filter(pk=record_id, case=case).first()
    if made is not None:
        return recorded_as(
            made, outcome="signed", draft_id=draft_id, sha256=sha256,
            decided_by_id=actor.pk, words=words.strip(),
        )  # fmt: skip
    access.require(actor, Act.SIGN_REVIEW, case)
    draft = draft_under_review(case, draft_id)
    report = report_for_update(case)
    require_no_part(actor, case)
    require_unchanged(case, draft, sha256)
    return finish(actor, case, report, decision_on_draft(actor, record_id, draft, "signed", words))


@action
def add_addendum(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    rests_on: UUID | None = None,
    reason: str = "",
) -> Addendum:
    """Add an addendum or amendment to a signed case. `entry`: kind, amends, text, why.

    `rests_on` names the result that it deals with. Raises Refused, NotAllowed, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.AMEND_SIGNED, case_id)
    last = Addendum.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    addendum = Addendum(
        pk=record_id,
        case=case,
        number=last + 1,
        kind=entry["kind"],
        amends=entry.get("amends", ""),
        text=entry["text"],
        why=entry["why"],
        made_at=timezone.now(),
        made_by=actor,
        rests_on=result_to_rest_on(case, rests_on),
    )
    there = recorded_before(addendum, assigned=("number", "made_at"))
    return there or save_new(actor, addendum)


def decision_on_draft(
    actor: Staff, record_id: UUID, draft: ReportDraft, outcome: str, words: str, **more: Any
) -> ReviewDecision:
    """Return a decision that is not saved yet."""
    return ReviewDecision(
        pk=record_id,
        case_id=draft.case_id,
        draft=draft,
        outcome=outcome,
        words=words.strip(),
        decided_at=timezone.now(),
        decided_by=actor,
        sha256=draft.sha256,
        signed_as=actor.printed_name,
        signed_title=actor.job_title,
        **more,
    )


def require_unchanged(case: Case, draft: ReportDraft, sha256: str) -> None:
    """Refuse what is not the draft that was read, or not what the file says. Raises Refused."""
    if draft.sha256 != sha256 or digest_of(draft.content) != sha256:
        raise Refused("This is not the draft that you read. Read it again, then sign.")
    if digest_of(report_content(case.pk)) != sha256:
        raise Refused(
            "The case file changed after this draft was sent. Send it back for a new draft."
        )


def finish(
    actor: Staff, case: Case, report: Report, decision: ReviewDecision, *with_it: CaseRecord
) -> ReviewDecision:
    """Write the decision and what goes with it, and lock the case file; the lock comes last.

    Raises Refused.
    """
    signs = actor if decision.outcome == "signed" else None
    if lacking := lacking_for(decision.draft, signs).all:
        raise Refused(" ".join(lacking))
    move_report(report, ReportState.SIGNED)
    save_next_version(actor, report)
    save_new(actor, decision)
    for one in with_it:
        save_new(actor, one, own_key=True)
    move_case(actor, case=case, to=CaseState.SIGNED)
    return decision


def report_for_update(case: Case) -> Report:
    """Return the locked report. Raises Refused."""
    report = Report.objects.filter(case=case).select_for_update().first()
    if report is None:
        raise Refused("The report is not begun.")
    return report


def move_report(report: Report, to: ReportState) -> None:
    """Put the report into its next state. Raises Refused."""
    now = ReportState(report.state)
    if not can_move(now, to):
        raise Refused(f"A report that is {now} cannot become {to}.")
    report.state = to.value
