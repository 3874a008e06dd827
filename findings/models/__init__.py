"""Tables of the examination."""

from findings.models.beneath import Interpretation, LayerFinding
from findings.models.examination import Examination, Finding, Mark, OrganWeight
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
