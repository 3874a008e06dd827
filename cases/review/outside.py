"""A review that a pathologist of another office made: recorded by somebody who had no part in it.

Where one pathologist works alone, another office reviews. Who recorded it, what the reviewer sent
(a file, by its digest) and what it states stand together; the author never records it.
"""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.certification.models import Certification
from cases.models import Case
from cases.queries import case_for_update
from cases.review.actions import decision_on_draft, finish, report_for_update, require_unchanged
from cases.review.authorship import called_so, parts_written_by, why_not_by
from cases.review.models import IndependentOpinion, OutsideReview, ReportDraft, ReviewDecision
from cases.review.needs import review_of
from cases.review.needs_rules import outside_wants, sheet_lacks, unanswered_in
from cases.review.peer_actions import answers_to, draft_under_review
from cases.review.rules import why_no_recorder
from evidence import store
from evidence.store import Incoming
from evidence.store.uploads import kind_of_paper, taken_in
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused
from me_office.audit.records import recorded_as
from me_office.audit.tidy import entry_as_kept
from me_office.entries import Entry

NAMES = (
    "outside_name",
    "outside_license",
    "outside_office",
    "outside_on",
    "outside_document",
)
# What the reviewer states, where the office's rules ask for an opinion.
STATED = ("kind", "cause", "manner", "cause_agrees", "knows_why", "settled_words")
MOST_BYTES = 20 * 1024 * 1024


def record(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    draft_id: UUID,
    sha256: str,
    upload: Any,
    entry: Entry,
    reason: str = "",
) -> ReviewDecision:
    """Take the reviewer's document in and record the review.

    Who may not is refused before a byte is stored; the action asks again. Raises NotKnown,
    NotAllowed, Refused, Conflict, Invalid.
    """
    case = access.case_for(actor, Act.SEE, case_id)
    access.require_role(actor, Act.RECORD_OUTSIDE)
    _require_no_part(actor, case)
    kind = kind_of_paper(upload, most_bytes=MOST_BYTES)
    with taken_in(upload, kind) as incoming:
        return record_outside_review(
            actor,
            case_id=case_id,
            record_id=record_id,
            draft_id=draft_id,
            sha256=sha256,
            incoming=incoming,
            entry=entry,
            reason=reason,
        )


@action
def record_outside_review(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    draft_id: UUID,
    sha256: str,
    incoming: Incoming,
    entry: Entry,
    reason: str = "",
) -> ReviewDecision:
    """Record that a pathologist of another office reviewed the draft; this locks the case file.

    `entry` takes NAMES and `words`, and as the reviewer stated them STATED and `answers`: what the
    office's rules ask of a review they ask of this one. Raises NotKnown, NotAllowed, Refused,
    Invalid, Conflict.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.RECORD_OUTSIDE, case)
    named: dict[str, Any] = {name: entry.get(name) or "" for name in NAMES}
    named = entry_as_kept(ReviewDecision, named)
    named["outside_on"] = entry.get("outside_on")
    said = {"words": str(entry.get("words", "")).strip(), **named}
    there = ReviewDecision.objects.filter(pk=record_id, case=case).first()
    if there is not None:
        return _recorded_before(
            there, entry, outcome="outside", draft_id=draft_id, sha256=sha256,
            decided_by_id=actor.pk, outside_sha256=incoming.sha256, **said,
        )  # fmt: skip
    access.require(actor, Act.RECORD_OUTSIDE, case)
    draft = draft_under_review(case, draft_id)
    _require_no_part(actor, case)
    for name in NAMES:
        if not named[name]:
            raise Refused("Fill this in: it is printed with the report.", field=name)
    _check(actor, case, draft, named["outside_name"], named["outside_on"])
    made = _stated(case, draft, entry)
    require_unchanged(case, draft, sha256)
    words = said.pop("words")
    decision = decision_on_draft(actor, record_id, draft, "outside", words, **said)
    decision.outside_sha256 = incoming.sha256
    with store.kept(incoming) as file:
        made.decision, made.file, made.file_name = decision, file, incoming.name[-200:]
        finish(actor, case, report_for_update(case), decision, made)
    return decision


def _recorded_before(there: ReviewDecision, entry: Entry, **said: Any) -> ReviewDecision:
    """Return what was recorded under this key if all of it is the same. Raises Conflict."""
    made: OutsideReview | None = OutsideReview.objects.filter(decision=there).first()
    if made is not None:
        texts = {name: entry.get(name) or "" for name in STATED if name != "cause_agrees"}
        recorded_as(made, cause_agrees=entry.get("cause_agrees"), **texts)
        if list(entry.get("answers") or []) != [dict(one) for one in made.answers]:
            raise Conflict("A record with this key has different content.", record=there)
    return recorded_as(there, **said)


def _stated(case: Case, draft: ReportDraft, entry: Entry) -> OutsideReview:
    """Return what the reviewer stated, not saved yet. Raises Refused, Invalid."""
    asked = review_of(draft)
    answers = list(entry.get("answers") or [])
    if answers:
        answers = answers_to(draft, answers)
    questions = asked.questions if asked is not None and asked.asks_sheet else []
    if lacking := sheet_lacks(unanswered_in(questions, answers)):
        raise Refused(lacking, field="answers")
    said = {name: entry.get(name) for name in STATED}
    if said["kind"] and said["kind"] not in dict(IndependentOpinion.KINDS):
        raise Invalid({"kind": ["Choose one of these."]})
    manner = Certification.objects.filter(case=case).values_list("manner", flat=True).first() or ""
    if asked is not None and asked.asks_opinion and (wanted := outside_wants(said, manner)):
        raise Invalid({name: [words] for name, words in wanted.items()})
    texts = {name: said[name] or "" for name in STATED if name != "cause_agrees"}
    return OutsideReview(
        case=case,
        answers=answers,
        cause_agrees=said["cause_agrees"],
        manner_agrees=said["manner"] == manner if said["manner"] else None,
        **texts,
    )


def _check(actor: Staff, case: Case, draft: ReportDraft, name: str, on: date) -> None:
    """Refuse what is no review of this draft by somebody who had no part in it. Raises Refused."""
    if on > timezone.localdate():
        raise Refused("This date is in the future.", field="outside_on")
    if on < timezone.localtime(draft.submitted_at).date():
        raise Refused(
            "The draft was sent after this date, so it cannot have been reviewed then.",
            field="outside_on",
        )
    if why := why_not_by(name, case.pk):
        raise Refused(why, field="outside_name")
    if called_so(name).filter(pk=actor.pk).exists():
        raise Refused(
            "This is your own name: nobody records their own review as one of another office.",
            field="outside_name",
        )


def _require_no_part(actor: Staff, case: Case) -> None:
    """Refuse who wrote of the report. Raises NotAllowed."""
    if why := why_no_recorder(parts_written_by(actor.pk, case.pk)):
        raise NotAllowed(why)


def outside_reviews_of(case_id: UUID) -> list[OutsideReview]:
    """Return the reviews of a case that were made outside the office: one or none."""
    rows = OutsideReview.objects.active().filter(case=case_id)
    return list(rows.select_related("decision", "file", "created_by"))
