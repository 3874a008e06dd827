"""Cremation approval asked for and decided; the final disposition as the office heard of it."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_wrong,
    require_correction,
    require_standing,
    save_as,
    save_entry,
    voids,
)
from cases.models import Case
from cases.remains import queries
from cases.remains.models import CremationDecision, CremationRequest, Disposition
from cases.remains.rules import Outcome, wrong_in_disposition
from cases.rules import intake as intake_rules
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

REQUEST_NAMES = names_entered(CremationRequest)
DECISION_NAMES = names_entered(CremationDecision)
DISPOSITION_NAMES = names_entered(Disposition)


@action
def log_cremation_request(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> CremationRequest:
    """Log that somebody asks for approval of a cremation; a later version corrects an open one.

    Jurisdiction may be declined: many such requests are of deaths that the office did not take.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.LOG_CREMATION, case_id)
    refuse_wrong(intake_rules.ahead_of_now({"asked_at": entry.get("asked_at")}, timezone.now()))
    if version:
        standing = queries.record_for_update(CremationRequest, case, record_id)
        if standing.outcome != Outcome.OPEN:
            raise Refused(f"The request is {standing.outcome} and can no longer be changed.")
        return save_entry(
            actor, CremationRequest, case=case, record_id=record_id, version=version, entry=entry
        )
    asked = CremationRequest(pk=record_id, case=case)
    set_fields(asked, entry, REQUEST_NAMES)
    # A retry may come after the decision: the outcome is the office's, not the sender's.
    not_compared = ("outcome", *VOIDING)
    return recorded_before(asked, assigned=not_compared) or save_new(actor, asked, own_key=True)


@action
def decide_cremation(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> CremationDecision:
    """Approve or refuse a cremation; a later decision takes the place of the one before.

    `version` is the request's; `entry` holds DECISION_NAMES. Raises NotKnown, NotAllowed,
    StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.DECIDE_CREMATION, case_id)
    asked = queries.record_for_update(CremationRequest, case, request_id)
    decision = CremationDecision(pk=record_id, case=case, request=asked, decided_by=actor)
    set_fields(decision, entry, DECISION_NAMES)
    there = recorded_before(decision)
    if there is not None:
        return there
    require_standing(asked, version)
    _check_decision(asked, decision)
    saved = save_new(actor, decision, own_key=True)
    asked.outcome = decision.outcome
    save_next_version(actor, asked)
    return saved


def _check_decision(asked: CremationRequest, decision: CremationDecision) -> None:
    if decision.outcome == asked.outcome:
        raise Refused(f"The cremation is {asked.outcome} already.", field="outcome")
    if asked.outcome != Outcome.OPEN or decision.outcome == Outcome.REFUSED:
        decision.why = require_reason(decision.why, field="why")
    at = decision.decided_at
    if at is None:
        return  # the table says that it is missing
    refuse_wrong(intake_rules.ahead_of_now({"decided_at": at}, timezone.now()))
    before = (
        asked.decisions.filter(voided_at=None)
        .order_by("-decided_at")
        .values_list("decided_at", flat=True)
        .first()
    )
    if at < asked.asked_at:
        refuse_wrong({"decided_at": "The decision cannot be before the request."})
    if before is not None and at < before:
        refuse_wrong({"decided_at": "A later decision applies."})


def _require_undecided(asked: CremationRequest) -> None:
    if asked.outcome != Outcome.OPEN:
        raise Refused(f"The request is {asked.outcome}; it stays with its decision.")


# One that was logged by mistake and not decided.
void_cremation_request = voids(
    "void_cremation_request", CremationRequest, Act.LOG_CREMATION, then=_require_undecided
)


@action
def record_disposition(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Disposition:
    """Record what became of the remains; a later version corrects it with a reason.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.RECORD_DISPOSITION, case_id)
    if version:
        done = queries.record_for_update(Disposition, case, record_id)
        require_correction(done, version, reason)
        set_fields(done, entry, DISPOSITION_NAMES)
    else:
        done = Disposition(pk=record_id, case=case)
        set_fields(done, entry, DISPOSITION_NAMES)
        there = recorded_before(done, assigned=VOIDING)
        if there is not None:
            return there
        if case.body_in_since is not None:
            raise Refused("The body is in the office. Record its release first.")
    said = said_of(done, DISPOSITION_NAMES)
    today = timezone.localdate()
    released_on = None if version else _released_on(case)
    refuse_wrong(wrong_in_disposition(said, today=today, released_on=released_on))
    return save_as(actor, done, version)


def _released_on(case: Case) -> date | None:
    # A correction may be of what was done before the body came back: only a new one is compared.
    stays = queries.stays_of(case)
    last = stays[-1].release if stays else None
    return timezone.localtime(last.released_at).date() if last else None


void_disposition = voids("void_disposition", Disposition, Act.RECORD_DISPOSITION)
