"""Forms of an examination and its findings, and of the reason for a change."""

from findings.forms.by_words import ChartBody, PlaceForm, signed
from findings.forms.examination import ExaminationForm, OpenExaminationForm
from findings.forms.finding import FindingForm, InterpretationForm, LayerForm, MarkForm
from findings.forms.reason import (
    ReasonedForm,
    VoidForm,
    reason_field,
    reason_for_adding,
    say_nothing,
)

__all__ = [
    "ChartBody",
    "ExaminationForm",
    "FindingForm",
    "InterpretationForm",
    "LayerForm",
    "MarkForm",
    "OpenExaminationForm",
    "PlaceForm",
    "ReasonedForm",
    "VoidForm",
    "reason_field",
    "reason_for_adding",
    "say_nothing",
    "signed",
]
