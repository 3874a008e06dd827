"""Organ weights."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.parts import Kind
from findings.organs.models import OrganWeight
from me_office.accounts.models import Staff
from me_office.audit.actions import action

ORGAN_FIELDS = ("organ", "weight_g", "after_fixation", "seen_as")
ORGAN = Kind(OrganWeight, ORGAN_FIELDS, named="organ weight", is_made_later=True)


@action
def weigh_organ(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> OrganWeight:
    """Record the weight of an organ; `entry` has ORGAN_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    return ORGAN.add(actor, case_id, record_id, entry, reason)


@action
def change_organ_weight(
    actor: Staff,
    *,
    case_id: UUID,
    organ_weight_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> OrganWeight:
    """Change an organ weight. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
    return ORGAN.change(actor, case_id, organ_weight_id, version, entry, reason)


@action
def void_organ_weight(
    actor: Staff, *, case_id: UUID, organ_weight_id: UUID, version: int, reason: str
) -> OrganWeight:
    """Void an organ weight. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return ORGAN.void(actor, case_id, organ_weight_id, version, reason)
