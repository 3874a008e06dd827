"""Forms of rehearsal."""

from __future__ import annotations

from django import forms

from cases.rehearsal.models import OwnQuestion
from cases.rehearsal.rules import OUTCOMES
from me_office.shell.forms import OfficeForm, RecordForm


class QuestionForm(RecordForm, of=OwnQuestion):
    """A question that is expected, with its answer."""

    rows = {"question": 2, "answer": 5}
    widgets = {"question": forms.Textarea, "answer": forms.Textarea}
    help_texts = {
        "question": "As it may be asked in court.",
        "answer": "What the record supports, and no more.",
    }


class MarkForm(OfficeForm):
    """How an answer came."""

    question = forms.CharField(max_length=120)
    outcome = forms.ChoiceField(choices=OUTCOMES)
