"""What a finding may mean, kept apart from what was seen."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.entry import opened, refuse, require_changeable
from findings.models import Interpretation
from findings.queries import finding_for_update, interpretation_for_update
from findings.rules import wrong_with_interpretation
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.fields import set_fields

INTERPRETATION_FIELDS = ("statement", "standing", "ground", "confidence")


@action
def record_interpretation(
    actor: Staff,
    *,
    case_id: UUID,
    finding_id: UUID,
    record_id: UUID,
    entry: Mapping[str, object],
    reason: str = "",
) -> Interpretation:
    """Record one alternative; `entry` has statement, standing, ground and confidence.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    interpretation = Interpretation(pk=record_id, case=case, finding=finding)
    set_fields(interpretation, entry, INTERPRETATION_FIELDS, whole=True)
    there = recorded_before(interpretation)
    if there is not None:
        return there
    require_changeable(finding, "finding", examination, reason)
    _check(interpretation)
    return save_new(actor, interpretation)


@action
def change_interpretation(
    actor: Staff,
    *,
    case_id: UUID,
    interpretation_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> Interpretation:
    """Change an interpretation. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
    case, examination = opened(actor, case_id)
    interpretation = interpretation_for_update(case, interpretation_id)
    require_version(interpretation, version)
    require_changeable(interpretation, "interpretation", examination, reason)
    set_fields(interpretation, entry, INTERPRETATION_FIELDS, whole=True)
    _check(interpretation)
    return save_next_version(actor, interpretation)


@action
def void_interpretation(
    actor: Staff, *, case_id: UUID, interpretation_id: UUID, version: int, reason: str
) -> Interpretation:
    """Void an interpretation. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    interpretation = interpretation_for_update(case, interpretation_id)
    require_version(interpretation, version)
    return void(actor, interpretation, reason=reason)


def _check(interpretation: Interpretation) -> None:
    refuse(
        wrong_with_interpretation(standing=interpretation.standing, ground=interpretation.ground)
    )
