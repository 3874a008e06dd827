"""The decision on jurisdiction, the case number, and the moves from state to state."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from cases import queries
from cases.access import Act, require
from cases.actions.entry import case_to_change, key_or_new, refuse_wrong
from cases.models import Case, JurisdictionDecision, ReportOfDeath
from cases.rules import intake as intake_rules
from cases.rules.case import CaseState, can_move, case_number
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)


@action
def accept_jurisdiction(
    actor: Staff,
    *,
    case_id: UUID,
    version: int,
    ground: str = "",
    reason: str,
    decided_at: datetime | None = None,
    record_id: UUID | None = None,
) -> JurisdictionDecision:
    """Accept jurisdiction, with the reason; the case gets its number and is open from then on.

    `version` is the case's. Without `decided_at` it is decided now. The number is the next one
    of the year of the decision in the office's time zone. The same `record_id` again returns the
    same decision. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid, Conflict.
    """
    case, decision = _decide(
        actor, case_id, version, "accepted", ground, reason, decided_at, record_id
    )
    if case is not None:
        _give_number(case, decision.decided_at)
        move_case(actor, case=case, to=CaseState.OPEN, reason=reason)
    return decision


@action
def decline_jurisdiction(
    actor: Staff,
    *,
    case_id: UUID,
    version: int,
    ground: str = "",
    reason: str,
    decided_at: datetime | None = None,
    record_id: UUID | None = None,
) -> JurisdictionDecision:
    """Decline jurisdiction, with the reason; it can be accepted later.

    `version` is the case's. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid, Conflict.
    """
    case, decision = _decide(
        actor, case_id, version, "declined", ground, reason, decided_at, record_id
    )
    if case is not None:
        move_case(actor, case=case, to=CaseState.DECLINED, reason=reason)
    return decision


@action
def move_case(actor: Staff, *, case: Case, to: CaseState, reason: str = "") -> Case:
    """Move a locked case to another state; signing notes the time.

    Other actions call this after their own permission and rules. Raises Refused.
    """
    if not can_move(CaseState(case.state), to):
        raise Refused(f"A case that is {CaseState(case.state).words} cannot become {to.words}.")
    case.state = to.value
    if to is CaseState.SIGNED:
        case.signed_at = timezone.now()
    return save_next_version(actor, case)


def _decide(
    actor: Staff,
    case_id: UUID,
    version: int,
    outcome: str,
    ground: str,
    reason: str,
    decided_at: datetime | None,
    record_id: UUID | None,
) -> tuple[Case | None, JurisdictionDecision]:
    """Return the case to be moved and the new decision; no case where it was decided before."""
    case = case_to_change(actor, Act.SEE, case_id)
    decision = JurisdictionDecision(
        pk=key_or_new(record_id), case=case, outcome=outcome, ground=ground.strip(),
        why=require_reason(reason, field="reason"), decided_at=decided_at or timezone.now(),
        decided_by=actor,
    )  # fmt: skip
    # The first answer has closed the way for a second decision: a retry is answered before that.
    not_compared = ("decided_at",) if decided_at is None else ()
    there = recorded_before(decision, assigned=not_compared)
    if there is not None:
        return None, there
    require(actor, Act.DECIDE_JURISDICTION, case)
    require_version(case, version)
    _check_time(case, decision)
    if not can_move(CaseState(case.state), _state_after(outcome)):
        raise Refused("Jurisdiction was already declined.")
    return case, save_new(actor, decision)


def _state_after(outcome: str) -> CaseState:
    return CaseState.OPEN if outcome == "accepted" else CaseState.DECLINED


def _check_time(case: Case, decision: JurisdictionDecision) -> None:
    refuse_wrong(intake_rules.ahead_of_now({"decided_at": decision.decided_at}, timezone.now()))
    report = ReportOfDeath.objects.filter(case=case).first()
    if report is not None and decision.decided_at < report.called_at:
        raise Invalid({"decided_at": ["The decision cannot be before the call."]})


def _give_number(case: Case, decided_at: datetime) -> None:
    year = decided_at.astimezone(settings.OFFICE_ZONE).year
    counter = queries.counter_for_update(year)
    counter.last += 1
    counter.save()
    case.number_year, case.number_running = year, counter.last
    case.number = case_number(settings.OFFICE_CASE_PREFIX, year, counter.last)
