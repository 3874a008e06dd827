"""Forms of an examination and its findings, and of the reason for a change."""

from findings.forms.examination import LONG_TEXTS, ExaminationForm, OpenExaminationForm
from findings.forms.finding import FindingForm, InterpretationForm, LayerForm, MarkForm
from findings.forms.reason import VoidForm, reason_field, reason_for_adding, say_nothing

__all__ = [
    "LONG_TEXTS",
    "ExaminationForm",
    "FindingForm",
    "InterpretationForm",
    "LayerForm",
    "MarkForm",
    "OpenExaminationForm",
    "VoidForm",
    "reason_field",
    "reason_for_adding",
    "say_nothing",
]
