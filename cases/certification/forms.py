"""The form for cause and manner."""

from __future__ import annotations

from django import forms

from cases.certification.actions import FIELDS
from cases.certification.models import Certification
from cases.certification.rules import Manner
from me_office.shell.forms import RecordForm


class CertificationForm(RecordForm):
    """Part I from the immediate cause down to the underlying one, part II, manner, injury."""

    rows = {"contributing": 2, "basis": 4}
    labels = {
        "cause_a": "Immediate cause",
        "cause_b": "Due to, or as a consequence of",
        "cause_c": "Due to, or as a consequence of",
        "cause_d": "Due to, or as a consequence of",
        "interval_a": "Onset to death",
        "interval_b": "Onset to death",
        "interval_c": "Onset to death",
        "interval_d": "Onset to death",
        "contributing": "Other significant conditions",
        "manner": "Manner of death",
        "basis": "What the opinion rests on",
        "injury_how": "How the injury occurred",
        "injury_place": "Place of injury",
        "injury_at_words": "Date and time of injury",
        "injury_at_work": "Injury at work",
    }
    reason = forms.CharField(
        required=False,
        label="Reason for the change",
        help_text="Needed when a manner that was stated is changed.",
        widget=forms.Textarea,
    )

    class Meta:
        model = Certification
        fields = list(FIELDS)
        widgets = {"manner": forms.RadioSelect, "injury_at_work": forms.RadioSelect}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        # Radio buttons without the empty choice that a model field adds by itself.
        self.fields["manner"].choices = [(one.value, one.value) for one in Manner]  # type: ignore[attr-defined]
        self.fields["injury_at_work"].choices = [  # type: ignore[attr-defined]
            ("", "not stated"),
            *((word, word) for word in ("yes", "no", "unknown")),
        ]
        if self.instance._state.adding:
            del self.fields["reason"]
