"""Forms of the examination as a whole: opening it, and its written parts."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings

from findings.actions import KEPT_UNITS, LONG_TEXTS, OPENING_FIELDS, RECORDING_FIELDS
from findings.forms.reason import reason_field
from findings.models import Examination
from findings.questions import negatives
from me_office.shell.forms import RecordForm, choice_field, say_needed
from me_office.shell.measures import as_entered, measure_fields

# What only an opened body shows: left out where it was not opened and nothing of this is written.
INSIDE = (
    *(name for name in RECORDING_FIELDS if name.startswith("blood_") or name.endswith("_percent")),
    *(name for name in LONG_TEXTS if name in negatives.OF_AN_OPENED_BODY),
)


class OpenExaminationForm(RecordForm, of=Examination):
    """Opening the examination."""

    units = {
        **dict.fromkeys(
            ("left_main_percent", "lad_percent", "circumflex_percent", "rca_percent"), "%"
        ),
        **dict.fromkeys((name for name in RECORDING_FIELDS if name.startswith("blood_")), "mL"),
    }
    labels = {
        "kind": "Kind of examination",
        "kind_reason": "Reason for this kind of examination",
        "chart_body": "Body on the chart",
        "began_at": "Began",
        "present": "Others present",
        "circumstances_reviewed": "I have read the report of death and the scene",
        "crown_heel_cm": "Crown-heel length",
        "body_weight_kg": "Body weight",
    }
    asks = [*OPENING_FIELDS, "crown_heel_cm", "body_weight_kg"]
    widgets = {"kind": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "kind").choices = Examination.KINDS
        normal = [
            words for kind, words in Examination.KINDS if kind in settings.NORMAL_EXAMINATIONS
        ]
        say_needed(self, f"required unless the kind is {' or '.join(normal)}", "kind_reason")
        measure_fields(self, KEPT_UNITS)

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes, with lengths and weights as they were read."""
        return as_entered(super().entry, KEPT_UNITS)


class ExaminationForm(OpenExaminationForm):
    """Recording the examination."""

    reason = reason_field()
    rows = dict.fromkeys(LONG_TEXTS, 4)
    labels = {
        **OpenExaminationForm.labels,
        "ended_at": "Ended",
        "left_main_percent": "Left main coronary artery",
        "lad_percent": "Left anterior descending artery",
        "circumflex_percent": "Circumflex artery",
        "rca_percent": "Right coronary artery",
        "blood_right_chest_ml": "Right chest cavity",
        "blood_left_chest_ml": "Left chest cavity",
        "blood_pericardium_ml": "Pericardial sac",
        "blood_abdomen_ml": "Abdominal cavity",
        "blood_epidural_ml": "Epidural space",
        "blood_subdural_ml": "Subdural space",
        "clothing": "Clothing and property on the body",
        "external": "External examination",
        "treatment": "Signs of treatment",
        "cavities": "Body cavities",
        "internal": "Internal examination",
        "deep_dissection": "Deep dissection and reflection",
    }
    asks = [name for name in RECORDING_FIELDS if not name.endswith("_read")]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        written = any(
            name in self.data or getattr(self.instance, name) not in (None, "") for name in INSIDE
        )
        self.opened = written or not negatives.why_not_seen("internal", self.instance.kind)
        if not self.opened:
            for name in INSIDE:
                del self.fields[name]
