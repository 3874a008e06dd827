"""Layers under a finding: examined or not, and what was found."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.entry import opened, require_changeable
from findings.models import LayerFinding
from findings.queries import finding_for_update, layer_for_update
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

LAYER_FIELDS = ("layer", "examined", "found")


@action
def record_layer(
    actor: Staff,
    *,
    case_id: UUID,
    finding_id: UUID,
    record_id: UUID,
    entry: Mapping[str, object],
    reason: str = "",
) -> LayerFinding:
    """Record one layer; `entry` has layer, examined and found.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    layer = LayerFinding(pk=record_id, case=case, finding=finding)
    set_fields(layer, entry, LAYER_FIELDS, whole=True)
    there = recorded_before(layer)
    if there is not None:
        return there
    require_changeable(finding, "finding", examination, reason)
    return save_new(actor, layer)


@action
def change_layer(
    actor: Staff,
    *,
    case_id: UUID,
    layer_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> LayerFinding:
    """Change a layer. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
    case, examination = opened(actor, case_id)
    layer = layer_for_update(case, layer_id)
    require_version(layer, version)
    require_changeable(layer, "layer", examination, reason)
    set_fields(layer, entry, LAYER_FIELDS, whole=True)
    return save_next_version(actor, layer)


@action
def void_layer(
    actor: Staff, *, case_id: UUID, layer_id: UUID, version: int, reason: str
) -> LayerFinding:
    """Void a layer. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    layer = layer_for_update(case, layer_id)
    require_version(layer, version)
    return void(actor, layer, reason=reason)
