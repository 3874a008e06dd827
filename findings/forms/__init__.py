"""Forms of the examination."""

from findings.forms.examination import (
    LONG_TEXTS,
    ExaminationForm,
    LividityForm,
    OpenExaminationForm,
    OrganWeightForm,
    RigorForm,
)
from findings.forms.finding import FindingForm, InterpretationForm, LayerForm, MarkForm
from findings.forms.path import WoundPathForm
from findings.forms.reason import VoidForm, reason_for_adding

__all__ = [
    "LONG_TEXTS",
    "ExaminationForm",
    "FindingForm",
    "InterpretationForm",
    "LayerForm",
    "LividityForm",
    "MarkForm",
    "OpenExaminationForm",
    "OrganWeightForm",
    "RigorForm",
    "VoidForm",
    "WoundPathForm",
    "reason_for_adding",
]
