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
from findings.actions.path import change_path, record_path, void_path
from findings.actions.postmortem import (
    change_lividity,
    change_rigor,
    record_lividity,
    record_rigor,
    void_lividity,
    void_rigor,
)
from findings.actions.term import add_office_term, void_office_term

__all__ = [
    "add_office_term",
    "change_finding",
    "change_interpretation",
    "change_layer",
    "change_lividity",
    "change_organ_weight",
    "change_path",
    "change_rigor",
    "confirm_negative",
    "move_mark",
    "open_examination",
    "place_mark",
    "record_examination",
    "record_finding",
    "record_interpretation",
    "record_layer",
    "record_lividity",
    "record_path",
    "record_rigor",
    "void_finding",
    "void_interpretation",
    "void_layer",
    "void_lividity",
    "void_mark",
    "void_office_term",
    "void_organ_weight",
    "void_path",
    "void_rigor",
    "weigh_organ",
]
