"""Finishing a report that is not reviewed, by the office's own rule."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.conf import settings

from cases import access
from cases.access import Act
from cases.models import Case
from cases.queries import case_for_update
from cases.review.actions import decision_on_draft, finish, report_for_update, require_unchanged
from cases.review.models import ReportDraft, ReviewDecision
from cases.review.needs import review_of
from cases.review.peer_actions import draft_under_review
from cases.review.signing import waiver_rule, why_not_waived
from findings.models import Examination
from findings.queries import examination_of
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.records import recorded_as, require_reason


@action
def finish_without_review(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    draft_id: UUID,
    sha256: str,
    words: str,
    reason: str = "",
) -> ReviewDecision:
    """Finish a report without peer review, where the office's rule allows it; locks the case file.

    `words` say why; they are printed. Raises NotAllowed, Refused, Conflict.
    """
    case = case_for_update(case_id)
    said = {"outcome": "waived", "words": words.strip()}
    there = _made(actor, case, record_id, draft_id, sha256, said)
    if there is not None:
        return there
    draft = _draft_to_finish(actor, case, draft_id)
    examination = examination_of(case)
    rule, why = waiver_for(examination)
    if why:
        raise Refused(why)
    if why := why_chosen(draft):
        raise Refused(why)
    words = require_reason(words, field="words")
    require_unchanged(case, draft, sha256)
    decision = decision_on_draft(actor, record_id, draft, "waived", words, rule=rule)
    return finish(actor, case, report_for_update(case), decision)


def waiver_for(examination: Examination | None) -> tuple[str, str]:
    """Return the rule by which the review may be left out, and why it may not be: one is empty."""
    kind, waived_for = examination.kind if examination else "", settings.REVIEW_WAIVED_FOR
    why = why_not_waived(kind, waived_for, Examination.KINDS)
    stated = settings.REVIEW_WAIVER_RULE
    return "" if why else waiver_rule(stated, waived_for, Examination.KINDS), why


def why_chosen(draft: ReportDraft) -> str:
    """Return why a review may not be left out, whatever the examination; empty if it may."""
    asked = review_of(draft)
    if asked is None or not (asked.asks_opinion or asked.asks_sheet):
        return ""
    found = [one["words"] for one in (*asked.opinion_grounds, *asked.sheet_grounds)]
    said = "; ".join(dict.fromkeys(found))
    return f"The rules of this office ask for a review of this case: {said}."


def _made(
    actor: Staff,
    case: Case,
    record_id: UUID,
    draft_id: UUID,
    sha256: str,
    said: Mapping[str, Any],
) -> ReviewDecision | None:
    access.require_at_all(actor, Act.REVIEW, case)
    made = ReviewDecision.objects.filter(pk=record_id, case=case).first()
    if made is None:
        return None
    return recorded_as(made, draft_id=draft_id, sha256=sha256, decided_by_id=actor.pk, **said)


def _draft_to_finish(actor: Staff, case: Case, draft_id: UUID) -> ReportDraft:
    access.require(actor, Act.REVIEW, case)
    draft = draft_under_review(case, draft_id)
    if draft.created_by_id != actor.pk and not actor.has_role(Role.SUPERVISOR):
        raise NotAllowed("Only the author of the report or a supervisor may do this.")
    return draft
