"""Forms of the checks: an answer, setting aside, and a check as the office keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from cases.checking.models import CheckAnswer, OfficeCheck
from cases.checking.rules import ANSWER_WORDS, Answered
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, long_text


class AnswerForm(RecordForm, of=CheckAnswer):
    """What a person says of a check that is missing."""

    rows = {"why": 3}
    widgets = {"answer": forms.RadioSelect}

    def __init__(self, *args: Any, allowed: Sequence[Answered], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = choice_field(self, "answer")
        field.choices = [(one.value, ANSWER_WORDS[one]) for one in allowed]
        # The answer in words, where there is one alone.
        self.only_answer = ANSWER_WORDS[allowed[0]] if len(allowed) == 1 else ""
        if len(allowed) == 1:
            # One answer alone is said on the page, and not chosen.
            field.initial = allowed[0].value
            field.widget = forms.HiddenInput()


class SetAsideForm(OfficeForm):
    """Why two places that do not agree are left as they are."""

    reason = long_text("Reason", max_length=1000)
    rows = {"reason": 3}


class CheckForm(RecordForm, of=OfficeCheck):
    """A check that comes with the software, as the office asks it."""

    reason = forms.CharField(label="Reason for the change", max_length=500)
    rows = {"words": 2}
    asks = ["words", "level", "is_off"]
    help_texts = {
        "level": "“Must” keeps a draft from review while it is missing, unless its author says "
        "why the report goes without it.",
    }


class OwnCheckForm(RecordForm, of=OfficeCheck):
    """A check of the office's own, which a person confirms in each case."""

    rows = {"words": 2}
    asks = ["words", "level", "applies"]
    help_texts = {"words": "As it stands in the list: “X-ray films compared with the log”."}


class ChangeOwnCheckForm(OwnCheckForm):
    """The same, changed."""

    reason = forms.CharField(label="Reason for the change", max_length=500)
