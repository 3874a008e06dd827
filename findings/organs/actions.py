"""Organ weights."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions import opened, require_changeable
from findings.organs.models import OrganWeight
from findings.organs.queries import organ_weight_for_update
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

ORGAN_FIELDS = ("organ", "weight_g", "after_fixation", "seen_as")


@action
def weigh_organ(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> OrganWeight:
    """Record the weight of an organ; `entry` has ORGAN_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    weight = OrganWeight(pk=record_id, case=case, examination=examination)
    set_fields(weight, entry, ORGAN_FIELDS, whole=True)
    there = recorded_before(weight)
    if there is not None:
        return there
    return save_new(actor, weight)


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
    case, examination = opened(actor, case_id)
    weight = organ_weight_for_update(case, organ_weight_id)
    require_version(weight, version)
    require_changeable(weight, "organ weight", examination, reason)
    set_fields(weight, entry, ORGAN_FIELDS, whole=True)
    return save_next_version(actor, weight)


@action
def void_organ_weight(
    actor: Staff, *, case_id: UUID, organ_weight_id: UUID, version: int, reason: str
) -> OrganWeight:
    """Void an organ weight. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    weight = organ_weight_for_update(case, organ_weight_id)
    require_version(weight, version)
    return void(actor, weight, reason=reason)
