"""Tables of the case file."""

from cases.models.body import BodyReceipt, Identification
from cases.models.case import Case, CaseNumberCounter, CaseRecord, Decedent, TeamMember
from cases.models.not_done import NotDone
from cases.models.report import JurisdictionDecision, ReportOfDeath
from cases.models.scene import Medication, Person, Place, Scene, SceneReading

__all__ = [
    "BodyReceipt",
    "Case",
    "CaseNumberCounter",
    "CaseRecord",
    "Decedent",
    "Identification",
    "JurisdictionDecision",
    "Medication",
    "NotDone",
    "Person",
    "Place",
    "ReportOfDeath",
    "Scene",
    "SceneReading",
    "TeamMember",
]
