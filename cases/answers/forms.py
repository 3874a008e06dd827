"""Forms of answers and of page numbers."""

from __future__ import annotations

from django import forms

from cases.answers.models import Answer, PageSeries
from me_office.shell.forms import OfficeForm, RecordForm


class FindPageForm(OfficeForm):
    """A page number as it is stamped."""

    number = forms.CharField(
        label="Page number",
        max_length=40,
        help_text="As stamped below the page. Blanks, dashes and leading zeros make no difference.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class SeriesForm(RecordForm):
    """How the office numbers the pages of later answers."""

    labels = {"prefix": "Before the number", "digits": "Digits"}

    class Meta:
        model = PageSeries
        fields = ["prefix", "digits"]
        help_texts = {
            "prefix": "Letters of the office, such as TC-. A prefix that was used before is not "
            "taken again.",
            "digits": "TC-004117 has six. A number that needs more gets more.",
        }


class AnswerForm(RecordForm):
    """What goes with the documents that were decided."""

    labels = {
        "with_certificate": "Include the custodian’s certificate, for signing on paper",
        "with_exhibit_list": "Include a list of the photographs",
        "camera_notes": "Send original photographs unchanged, with the camera’s metadata",
    }

    class Meta:
        model = Answer
        fields = ["with_certificate", "with_exhibit_list", "camera_notes"]
        help_texts = {
            "with_certificate": "Check with counsel which wording your courts ask for.",
            "with_exhibit_list": "",
            "camera_notes": "Unchecked, copies without metadata go out: no place, no serial "
            "number. A redacted photograph goes out as its redacted copy either way.",
        }
