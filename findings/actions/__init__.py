"""Every change of the examination and what hangs on it."""

from findings.actions.examination import (
    confirm_negative,
    open_examination,
    record_examination,
)
from findings.actions.finding import change_finding, record_finding, void_finding
from findings.actions.interpretation import (
    change_interpretation,
    record_interpretation,
    void_interpretation,
)
from findings.actions.layer import change_layer, record_layer, void_layer
from findings.actions.mark import move_mark, place_mark, void_mark
from findings.actions.organ import change_organ_weight, void_organ_weight, weigh_organ

__all__ = [
    "change_finding",
    "change_interpretation",
    "change_layer",
    "change_organ_weight",
    "confirm_negative",
    "move_mark",
    "open_examination",
    "place_mark",
    "record_examination",
    "record_finding",
    "record_interpretation",
    "record_layer",
    "void_finding",
    "void_interpretation",
    "void_layer",
    "void_mark",
    "void_organ_weight",
    "weigh_organ",
]
