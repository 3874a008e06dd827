"""What a finding may mean, kept apart from what was seen."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.entry import refuse
from findings.actions.parts import Kind
from findings.models import Interpretation
from findings.rules import wrong_with_interpretation
from me_office.accounts.models import Staff
from me_office.audit.actions import action

INTERPRETATION_FIELDS = ("statement", "standing", "ground", "confidence")


def _check(interpretation: Interpretation) -> None:
    refuse(
        wrong_with_interpretation(standing=interpretation.standing, ground=interpretation.ground)
    )


INTERPRETATION = Kind(Interpretation, INTERPRETATION_FIELDS, named="interpretation", check=_check)


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
    return INTERPRETATION.add(actor, case_id, record_id, entry, reason, finding_id=finding_id)


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
    return INTERPRETATION.change(actor, case_id, interpretation_id, version, entry, reason)


@action
def void_interpretation(
    actor: Staff, *, case_id: UUID, interpretation_id: UUID, version: int, reason: str
) -> Interpretation:
    """Void an interpretation. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return INTERPRETATION.void(actor, case_id, interpretation_id, version, reason)
