"""The form for the office's own words."""

from __future__ import annotations

from django import forms

from cases.explanations.models import Explanation
from me_office.shell.forms import RecordForm


class ExplanationForm(RecordForm, of=Explanation):
    """An explanation in the office's own words."""

    reason = forms.CharField(label="Reason for the change", max_length=500)
    rows = {"words": 7}
    help_texts = {
        "question": "As it is asked, in everyday words.",
        "words": "For people without medical training; no surer than the source.",
        "source": "A publication, the office’s own rule, or common practice.",
    }
