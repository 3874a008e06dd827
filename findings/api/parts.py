"""Endpoints of marks, layers and interpretations."""

from __future__ import annotations

from findings import actions
from findings.api import serializers as s
from findings.api.rows import part_of_a_finding

routes = [
    *part_of_a_finding("mark", "mark", "a mark", actions.place_mark, actions.move_mark,
        actions.void_mark, (s.NewMarkSerializer, s.MarkChangeSerializer, s.MarkSerializer)),
    *part_of_a_finding("layer", "layer", "a layer", actions.record_layer, actions.change_layer,
        actions.void_layer, (s.NewLayerSerializer, s.LayerChangeSerializer, s.LayerSerializer)),
    *part_of_a_finding("interpretation", "interpretation", "an interpretation",
        actions.record_interpretation, actions.change_interpretation, actions.void_interpretation,
        (s.NewInterpretationSerializer, s.InterpretationChangeSerializer,
            s.InterpretationSerializer)),
]  # fmt: skip
