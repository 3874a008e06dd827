"""Closing a case without a report where nothing was examined, and opening it again."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions import move_case
from cases.actions.entry import case_to_change, names_entered
from cases.certification.models import Certification
from cases.models import BodyReceipt, Case, NotDone, Scene
from cases.queries import case_for_update
from cases.review.models import CaseClosing
from cases.review.rules import ClosingFacts, missing_before_closing
from cases.rules.case import CaseState
from findings.queries import examination_of
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

CLOSING_NAMES = names_entered(CaseClosing)
# What the office fills in, at closing or later.
NOT_COMPARED = ("closed_at", "reopened_at", "reopened_why")


@action
def close_case(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> CaseClosing:
    """Close an accepted case without a report; `version` is the case's, `entry` CLOSING_NAMES.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.CLOSE_CASE, case)
    made = CaseClosing(pk=record_id, case=case, closed_at=timezone.now())
    set_fields(made, entry, CLOSING_NAMES)
    there = recorded_before(made, assigned=NOT_COMPARED)
    if there is not None:
        return there
    access.require(actor, Act.CLOSE_CASE, case)
    require_version(case, version)
    lacking = missing_before_closing(closing_facts(case))
    if lacking:
        raise Refused(" ".join(lacking))
    made.why = require_reason(made.why, field="why")
    if not made.certified_by.strip() and not Certification.objects.filter(case=case).exists():
        raise Refused("Say who certifies the death.", field="certified_by")
    move_case(actor, case=case, to=CaseState.CLOSED, reason=made.why)
    return save_new(actor, made, own_key=True)


@action
def reopen_case(actor: Staff, *, case_id: UUID, version: int, reason: str) -> CaseClosing:
    """Open a closed case again; `version` is that of its closing.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.CLOSE_CASE, case_id)
    rows = CaseClosing.objects.select_for_update(of=("self",))
    closing: CaseClosing | None = rows.filter(case=case, reopened_at=None).first()
    if closing is None:
        raise Refused("The case is not closed.")
    require_version(closing, version)
    closing.reopened_why = require_reason(reason)
    closing.reopened_at = timezone.now()
    closing.case = move_case(actor, case=case, to=CaseState.OPEN, reason=reason)
    return save_next_version(actor, closing)


def closing_facts(case: Case) -> ClosingFacts:
    """Return what the rule asks of a case; four statements."""
    stated = set(NotDone.objects.active().filter(case=case).values_list("kind", flat=True))
    has_scene = Scene.objects.active().filter(case=case).exists()
    has_receipt = BodyReceipt.objects.active().filter(case=case).exists()
    return ClosingFacts(
        examination_opened=examination_of(case) is not None,
        scene_settled=has_scene or NotDone.SCENE in stated,
        body_settled=has_receipt or NotDone.BODY in stated,
        body_here=case.body_in_since is not None,
    )


def closings_of(case: Case) -> list[CaseClosing]:
    """Return how the case was closed, the latest first."""
    rows = CaseClosing.objects.active().filter(case=case).select_related("created_by", "case")
    return list(rows.order_by("-closed_at", "-id"))
