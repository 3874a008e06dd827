"""Keep a calculation in the case file; withdraw one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from findings.computing import rules
from findings.computing.models import Calculation
from findings.computing.queries import calculation_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import recorded_before, require_reason, save_new


@action
def record_calculation(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    method: str,
    inputs: Mapping[str, Any],
    note: str,
    measured_at: datetime | None = None,
    taken_from: Mapping[str, str] | None = None,
    reason: str = "",
) -> Calculation:
    """Compute by a method and keep inputs, result and the method's version.

    `taken_from` says for an input where in the case file it stands. A method that declines to give
    an estimate is kept as well: that it was tried is worth knowing.

    Raises NotKnown, NotAllowed, Refused (with the input that is wrong), Invalid, Conflict.
    """
    case = case_to_change(actor, Act.CALCULATE, case_id)
    now = timezone.now()
    try:
        rules.check_measured_at(measured_at, now)
        result = rules.run(method, inputs)
    except rules.Unusable as error:
        raise Refused(error.message, field=error.field) from None
    calculation = Calculation(
        pk=record_id,
        case=case,
        method=result.method,
        method_version=result.version,
        inputs=dict(inputs),
        taken_from=dict(taken_from or {}),
        measured_at=measured_at,
        result=result.as_plain(),
        refused=result.is_refused,
        note=require_reason(note, field="note"),
        made_at=now,
        made_by=actor,
    )
    there = recorded_before(
        calculation, assigned=("made_at", "made_by", "method_version", "result", "refused")
    )
    return there or save_new(actor, calculation)


# It stays in history and is no longer printed.
void_calculation = withdraws(
    "void_calculation", Act.CALCULATE, calculation_for_update, key="calculation_id"
)
