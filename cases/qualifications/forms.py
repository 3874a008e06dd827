"""Forms of a curriculum vitae."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.qualifications.actions import RECORDED_NAMES
from cases.qualifications.models import ListedTestimony, Qualification
from cases.qualifications.rules import wrong_in_qualification, wrong_in_testified
from me_office.shell.forms import OfficeForm, RecordForm, ask_one_of


class QualificationForm(RecordForm, of=Qualification):
    """One line of a curriculum vitae."""

    wrong = staticmethod(wrong_in_qualification)
    buttons = ("kind",)
    needed = dict.fromkeys(("place", "number"), "required for a license")
    labels = {
        "kind": "Type",
        "from_year": "From (year)",
        "to_year": "To (year)",
    }
    help_texts = {
        "title": "As it is to be printed: Medical license; Doctor of Medicine.",
        "number": "Of a license or certification.",
        "from_year": "Of a degree or publication, its year.",
        "to_year": "Empty while it is still held.",
        "valid_until": "Of a license or certification, its last day.",
    }


class TestifiedForm(RecordForm, of=ListedTestimony):
    """One case in which a person testified as an expert."""

    wrong = staticmethod(wrong_in_testified)
    buttons = ("kind",)
    labels = {"kind": "Type", "on_day": "Date"}
    widgets = {"called_by": forms.Select}
    help_texts = {
        "on_day": "Of a trial of several days, the first on which the person was heard.",
        "caption": "As on the court’s papers: State v. Doe.",
        "court": "With its county or district, and the state.",
        "cause_number": "Exactly as written.",
    }

    def __init__(self, *args: Any, recorded: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if recorded:
            for name in RECORDED_NAMES:
                del self.fields[name]
        ask_one_of(self, "caption", "cause_number")


class IssueForm(OfficeForm):
    """The day through which the office counts."""

    counted_on = forms.DateField(
        label="Count through",
        help_text="Examinations and testimony are counted from the office’s records through "
        "this day.",
    )
