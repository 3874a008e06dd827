"""Every change of an examination, its findings, layers, marks and interpretations."""

from findings.actions.entry import opened, refuse, require_changeable, require_reason_after_end
from findings.actions.examination import (
    KEPT_UNITS,
    LONG_TEXTS,
    OPENING_FIELDS,
    RECORDING_FIELDS,
    confirm_negative,
    open_examination,
    record_examination,
)
from findings.actions.finding import (
    FINDING_FIELDS,
    OWN_FIELDS,
    change_finding,
    record_finding,
    void_finding,
)
from findings.actions.interpretation import (
    INTERPRETATION_FIELDS,
    change_interpretation,
    record_interpretation,
    void_interpretation,
)
from findings.actions.layer import LAYER_FIELDS, change_layer, record_layer, void_layer
from findings.actions.mark import move_mark, place_mark, void_mark

__all__ = [
    "FINDING_FIELDS",
    "INTERPRETATION_FIELDS",
    "KEPT_UNITS",
    "LAYER_FIELDS",
    "LONG_TEXTS",
    "OPENING_FIELDS",
    "OWN_FIELDS",
    "RECORDING_FIELDS",
    "change_finding",
    "change_interpretation",
    "change_layer",
    "confirm_negative",
    "move_mark",
    "open_examination",
    "opened",
    "place_mark",
    "record_examination",
    "record_finding",
    "record_interpretation",
    "record_layer",
    "refuse",
    "require_changeable",
    "require_reason_after_end",
    "void_finding",
    "void_interpretation",
    "void_layer",
    "void_mark",
]
