"""The rules of review, who reviews, the reviewer's own opinion, and the review sheet."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change
from cases.certification.models import Certification
from cases.certification.rules import Manner, manner_words
from cases.models import Case
from cases.queries import case_for_update
from cases.review.authorship import parts_written_by
from cases.review.blind import is_held_from
from cases.review.models import (
    DraftReview,
    IndependentOpinion,
    ReportDraft,
    ReviewDecision,
    ReviewPolicy,
    ReviewSeed,
    ReviewSheet,
)
from cases.review.needs import needs_of, review_of, reviewers_for
from cases.review.needs_rules import Settled, opinion_wants, wrong_in_sheet
from cases.review.queries import passage_text
from cases.review.rules import why_no_reviewer
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import (
    Invalid,
    NotAllowed,
    NotKnown,
    Refused,
    StaleRecord,
    known_of_office,
)
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_as,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

# Nobody can tell from the record what was read of it.
WAS_OPEN = (
    "The author’s opinion was open to you: another was asked to review this draft. Record that you "
    "know it, or have the review given to you before you read it."
)
POLICY_FIELDS = (
    "opinion_manners", "opinion_under_age", "opinion_custody",
    "sheet_manners", "sheet_under_age", "sheet_custody",
    "share_percent", "custody_places", "questions",
)  # fmt: skip


@action
def change_review_policy(
    actor: Staff, *, record_id: UUID, version: int, entry: Entry, reason: str
) -> ReviewPolicy:
    """Say which cases need more than a review. `entry`: POLICY_FIELDS; version 0 is the first.

    A share needs a seed: the first is drawn with it. Raises NotAllowed, StaleRecord, Refused,
    Invalid.
    """
    access.require_role(actor, Act.KEEP_REVIEW_RULES)
    keys.recall()
    require_reason(reason)
    for name in ("opinion_manners", "sheet_manners"):
        if set(entry.get(name) or ()) - {one.value for one in Manner}:
            raise Invalid({name: ["Choose among the manners of death."]})
    rules = ReviewPolicy.objects.active().select_for_update(of=("self",)).first()
    if rules is None or (rules.pk == record_id and version == 0):
        made = ReviewPolicy(pk=record_id)
        set_fields(made, entry, POLICY_FIELDS)
        rules = save_new(actor, made)
    else:
        require_version(rules, version)
        set_fields(rules, entry, POLICY_FIELDS)
        save_next_version(actor, rules)
    if rules.share_percent and not ReviewSeed.objects.active().exists():
        save_new(actor, ReviewSeed(seed=secrets.token_hex(32)), own_key=True)
    return rules


@action
def draw_seed(actor: Staff, *, record_id: UUID, reason: str) -> ReviewSeed:
    """Draw a new seed, for cases that begin from now on. Raises NotAllowed, Refused."""
    access.require_role(actor, Act.KEEP_REVIEW_RULES)
    keys.recall()
    require_reason(reason)
    made: ReviewSeed | None = ReviewSeed.objects.filter(pk=record_id).first()
    return made or save_new(actor, ReviewSeed(pk=record_id, seed=secrets.token_hex(32)))


def note_needs(
    actor: Staff, case: Case, draft: ReportDraft, reviewer_id: UUID | None
) -> DraftReview:
    """Note beside a draft that is being sent what its review needs, and whom its author names."""
    needs = needs_of(case)
    return save_new(
        actor,
        DraftReview(
            case=case,
            draft=draft,
            reviewer=reviewer_to_name(case, reviewer_id),
            asks_opinion=bool(needs.opinion),
            asks_sheet=bool(needs.sheet),
            opinion_grounds=needs.opinion,
            sheet_grounds=needs.sheet,
            draw=needs.draw,
            drawn=needs.drawn,
            questions=needs.questions,
        ),
        own_key=True,
    )


def reviewer_to_name(case: Case, person_id: UUID | None) -> Staff | None:
    """Return who is to review a case's draft. Raises Refused for whoever cannot."""
    if person_id is None:
        return None
    found = next((one for one in reviewers_for(case) if one.person.pk == person_id), None)
    if found is None:
        raise Refused("Choose a pathologist who may see this case.", field="reviewer")
    if why := why_no_reviewer(found.wrote, who=str(found.person)):
        raise Refused(why, field="reviewer")
    return found.person


@action
def give_review(
    actor: Staff, *, case_id: UUID, draft_id: UUID, version: int, reviewer: UUID | None = None,
    reason: str = "",
) -> DraftReview:  # fmt: skip
    """Give the review of a draft to somebody, to another, or to whoever takes it up first.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.ASSIGN, case_id)
    draft = draft_under_review(case, draft_id)
    row = DraftReview.objects.select_for_update(of=("self",)).filter(draft=draft).first()
    if row is None:
        raise NotKnown("This draft was sent before reviews were given to somebody.")
    require_version(row, version)
    row.reviewer = reviewer_to_name(case, reviewer)
    return save_next_version(actor, row)


@action
def record_opinion(
    actor: Staff, *, case_id: UUID, record_id: UUID, draft_id: UUID, entry: Entry,
    reason: str = "",
) -> IndependentOpinion:  # fmt: skip
    """Record cause and manner of one's own, or that the author's are known already.

    `entry`: kind, cause, manner, words, knows_why. It never changes afterward. Raises NotAllowed,
    Refused, Invalid, Conflict.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.SIGN_REVIEW, case)
    said = {name: entry.get(name) or "" for name in ("cause", "manner", "words", "knows_why")}
    said["kind"] = entry.get("kind") or "own"
    made = IndependentOpinion.objects.filter(pk=record_id, case=case).first()
    if made is not None:
        return recorded_as(made, draft_id=draft_id, created_by_id=actor.pk, **said)
    access.require(actor, Act.SIGN_REVIEW, case)
    draft = draft_under_review(case, draft_id)
    require_no_part(actor, case)
    asked = review_of(draft)
    if asked is None or not asked.asks_opinion:
        raise Refused("The rules of this office ask for no independent opinion in this case.")
    theirs = IndependentOpinion.objects.active().filter(case=case, created_by=actor)
    if said["kind"] == "own" and not is_held_from(actor, case.pk) and not theirs.exists():
        raise Refused(WAS_OPEN, field="kind")
    if wrong := opinion_wants(said):
        raise Invalid({name: [words] for name, words in wrong.items()})
    return save_new(actor, IndependentOpinion(pk=record_id, case=case, draft=draft, **said))


@action
def compare_opinion(
    actor: Staff, *, case_id: UUID, opinion_id: UUID, version: int, cause_agrees: bool,
    reason: str = "",
) -> IndependentOpinion:  # fmt: skip
    """Say whether the author's cause is one's own; of the manner the words decide.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.SIGN_REVIEW, case_id)
    opinion = opinion_for_update(case, opinion_id)
    if opinion.created_by_id != actor.pk:
        raise NotAllowed("Only who formed an opinion says whether the author’s is the same.")
    if not opinion.is_own:
        raise Refused("There is no opinion of your own to compare.")
    require_version(opinion, version)
    draft = newest_draft(case)
    manner = _manner_in(case)
    opinion.compared_draft = draft
    opinion.author_cause, opinion.author_manner = _stated_in(case, draft)
    opinion.cause_agrees = cause_agrees
    opinion.manner_agrees = manner == opinion.manner
    # What settled an earlier disagreement was said of other words; the trail keeps it.
    opinion.settled_how, opinion.settled_words = "", ""
    opinion.settled_at, opinion.settled_by = None, None
    return save_next_version(actor, opinion)


@action
def settle_disagreement(
    actor: Staff, *, case_id: UUID, opinion_id: UUID, version: int, how: str, words: str,
    reason: str = "",
) -> IndependentOpinion:  # fmt: skip
    """Record how reviewer and author came to terms, or that both opinions stay.

    By whoever disagreed, or another who had no part in the report. Raises NotAllowed, NotKnown,
    StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.DISCUSS_REVIEW, case_id)
    opinion = opinion_for_update(case, opinion_id)
    if opinion.created_by_id != actor.pk:
        require_no_part(actor, case)
    require_version(opinion, version)
    if not opinion.differs:
        raise Refused("There is no disagreement to settle.")
    if how not in set(Settled):
        raise Refused("Choose how it was settled.", field="how")
    draft = newest_draft(case)
    stated = (opinion.author_cause, opinion.author_manner)
    if how == Settled.CHANGED and _stated_in(case, draft) == stated:
        raise Refused(
            f"Draft {draft.number} still states the cause and manner that were compared. Send it "
            "back; this can be said once the author has sent a changed one.",
            field="how",
        )
    opinion.settled_how = how
    opinion.settled_words = require_reason(words, field="words")
    opinion.settled_at, opinion.settled_by = timezone.now(), actor
    return save_next_version(actor, opinion)


@action
def fill_sheet(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, draft_id: UUID,
    answers: Sequence[Mapping[str, str]], reason: str = "",
) -> ReviewSheet:  # fmt: skip
    """Answer questions of the review sheet; what is left open can be answered later.

    `answers`: question, answer (yes, no, na or empty), words. Raises NotAllowed, StaleRecord,
    Refused, Invalid.
    """
    case = case_to_change(actor, Act.SIGN_REVIEW, case_id)
    draft = draft_under_review(case, draft_id)
    require_no_part(actor, case)
    said = answers_to(draft, answers)
    rows = ReviewSheet.objects.active().select_for_update(of=("self",))
    sheet = rows.filter(draft=draft, created_by=actor).first()
    if sheet is None or (version == 0 and sheet.pk == record_id):
        return save_new(actor, ReviewSheet(pk=record_id, case=case, draft=draft, answers=said))
    if version == 0:
        raise StaleRecord(sheet)
    require_version(sheet, version)
    sheet.answers = said
    return save_next_version(actor, sheet)


def answers_to(draft: ReportDraft, answers: Sequence[Mapping[str, str]]) -> list[dict[str, str]]:
    """Return answers to the questions that are asked of a draft. Raises Refused, Invalid."""
    asked = review_of(draft)
    if asked is None or not asked.asks_sheet:
        raise Refused("The rules of this office ask for no review sheet in this case.")
    said = [
        {name: str(one.get(name, "")) for name in ("question", "answer", "words")}
        for one in answers
    ]
    if any(one["question"] not in asked.questions for one in said):
        raise Refused("This question is not on the sheet.", field="answers")
    if wrong := wrong_in_sheet(said):
        raise Invalid({"answers": [wrong]})
    return said


def authors_cause(draft: ReportDraft) -> str:
    """Return the cause as a draft states it, with what contributed."""
    parts = [passage_text(draft.content, key) for key in ("cause", "contributing")]
    return " ".join(f"{part.partition(': ')[2].rstrip('.')}." for part in parts if part)


def _manner_in(case: Case) -> str:
    stated = Certification.objects.filter(case=case).values_list("manner", flat=True)
    return stated.first() or ""


def _stated_in(case: Case, draft: ReportDraft) -> tuple[str, str]:
    """Return the author's cause and manner, as they are put beside a reviewer's."""
    manner = _manner_in(case)
    return authors_cause(draft), manner_words(manner) if manner else "not stated"


def newest_draft(case: Case) -> ReportDraft:
    """Return the draft that was sent last. Raises NotKnown."""
    found: ReportDraft | None = ReportDraft.objects.filter(case=case).order_by("-number").first()
    if found is None:
        raise NotKnown("No draft was sent.")
    return found


def draft_under_review(case: Case, draft_id: UUID) -> ReportDraft:
    """Return the draft under review, on which nobody decided yet. Raises Refused."""
    draft = ReportDraft.objects.filter(case=case).order_by("-number").first()
    if draft is None or draft.pk != draft_id:
        raise Refused("This is not the draft under review.")
    if ReviewDecision.objects.filter(draft=draft).exists():
        raise Refused("This draft was already decided on.")
    return draft


def opinion_for_update(case: Case, opinion_id: UUID) -> IndependentOpinion:
    """Return the locked opinion of a case. Raises NotKnown."""
    rows = IndependentOpinion.objects.active().select_for_update(of=("self",))
    found: IndependentOpinion | None = rows.filter(pk=opinion_id, case=case).first()
    return known_of_office(found, "opinion")


def require_no_part(actor: Staff, case: Case) -> None:
    """Refuse who wrote of the report. Raises NotAllowed."""
    if why := why_no_reviewer(parts_written_by(actor.pk, case.pk)):
        raise NotAllowed(why)
