"""Tables of the examination."""

from findings.models.examination import (
    Examination,
    Finding,
    Interpretation,
    LayerFinding,
    Mark,
    OrganWeight,
)
from findings.models.path import WoundPath
from findings.models.postmortem import Lividity, Rigor
from findings.models.term import OfficeTerm

__all__ = [
    "Examination",
    "Finding",
    "Interpretation",
    "LayerFinding",
    "Lividity",
    "Mark",
    "OfficeTerm",
    "OrganWeight",
    "Rigor",
    "WoundPath",
]
