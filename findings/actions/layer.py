"""Layers under a finding: examined or not, and what was found."""

from __future__ import annotations

from findings.actions.parts import Part
from findings.models import LayerFinding

LAYER_FIELDS = ("layer", "examined", "found")
LAYER = Part(LayerFinding, "layer_id", LAYER_FIELDS, named="layer")
record_layer = LAYER.adds_to_finding("record_layer")
change_layer = LAYER.changes("change_layer")
void_layer = LAYER.voids("void_layer")
