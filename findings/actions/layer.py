"""Layers under a finding: examined or not, and what was found."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.parts import Kind
from findings.models import LayerFinding
from me_office.accounts.models import Staff
from me_office.audit.actions import action

LAYER_FIELDS = ("layer", "examined", "found")
LAYER = Kind(LayerFinding, LAYER_FIELDS, named="layer")


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
    return LAYER.add(actor, case_id, record_id, entry, reason, finding_id=finding_id)


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
    return LAYER.change(actor, case_id, layer_id, version, entry, reason)


@action
def void_layer(
    actor: Staff, *, case_id: UUID, layer_id: UUID, version: int, reason: str
) -> LayerFinding:
    """Void a layer. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return LAYER.void(actor, case_id, layer_id, version, reason)
