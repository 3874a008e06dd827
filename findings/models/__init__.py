"""Tables of the examination and its findings; those of the rooms are named here for Django."""

from findings.models.beneath import Interpretation, LayerFinding
from findings.models.examination import Examination, Finding, Mark
from findings.organs.models import OrganWeight
from findings.paths.models import WoundPath
from findings.postmortem.models import Lividity, Rigor
from findings.systems.models import MicroscopicSlide, SystemPart, SystemTemplate
from findings.words.models import OfficeTerm, OfficeWording

__all__ = [
    "Examination",
    "Finding",
    "Interpretation",
    "LayerFinding",
    "Lividity",
    "Mark",
    "MicroscopicSlide",
    "OfficeTerm",
    "OfficeWording",
    "OrganWeight",
    "Rigor",
    "SystemPart",
    "SystemTemplate",
    "WoundPath",
]
