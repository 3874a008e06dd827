"""Forms of answers and of page numbers."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from cases.answers.certificate import FIELDS
from cases.answers.models import Answer, CertificateWording, Delivery, PageSeries
from cases.answers.rules import wrong_end
from cases.court.models import Release
from cases.court.rules import why_not_left
from me_office.shell.forms import OfficeForm, RecordForm, long_text


class FindPageForm(OfficeForm):
    """A page number as it is stamped."""

    number = forms.CharField(
        label="Page number",
        max_length=40,
        help_text="As stamped below the page. Blanks, dashes and leading zeros make no difference.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class SeriesForm(RecordForm, of=PageSeries):
    """How the office numbers the pages of later answers."""

    of = forms.UUIDField(required=False, widget=forms.HiddenInput)

    @property
    def said(self) -> dict[str, Any]:
        """The entry: how pages are numbered, without which way was read."""
        return {name: value for name, value in self.entry.items() if name != "of"}

    @property
    def beside(self) -> dict[str, Any]:
        """The way that was read."""
        return {"of": self.cleaned_data["of"]}

    help_texts = {
        "prefix": "Letters of the office, such as TC-. A prefix that was used before is not "
        "taken again.",
        "digits": "TC-004117 has six. A number that needs more gets more.",
    }


class AnswerForm(RecordForm, of=Answer):
    """What goes with the documents that were decided."""

    labels = {
        "with_certificate": "Include the custodian’s certificate, for signing on paper",
        "with_exhibit_list": "Include a list of the photographs",
        "camera_notes": "Send original photographs unchanged, with the camera’s metadata",
    }
    asks = ["with_certificate", "with_exhibit_list", "camera_notes"]
    help_texts = {
        "with_certificate": "Check with counsel which wording your courts ask for.",
        "with_exhibit_list": "",
        "camera_notes": "Unchecked, copies without metadata go out: no place, no serial "
        "number. A redacted photograph goes out as its redacted copy either way.",
    }


class DeliverForm(RecordForm, of=Delivery):
    """How an answer leaves the office."""

    rows = {"note": 2, "still_due": 2, "although": 2}
    buttons = ("method", "answers")
    needed = {
        "ends_at": "required for a download",
        "still_due": "required for a part",
        "although": "from a second person",
    }
    labels = {
        "method": "How",
        "ends_at": "The address opens until",
        "although": "Why it may go out although it has changed",
    }
    answers = forms.ChoiceField(
        choices=Release.ANSWERS, widget=forms.RadioSelect, label="This answer holds"
    )
    still_due = long_text(
        "Still to be sent",
        "Item by item, as requested. The request stays open for it.",
        required=False,
    )
    note = long_text("Note", "Tracking number, who took it, what was said.", required=False)
    asks = ["to_whom", "method", "ends_at", "although"]
    help_texts = {
        "to_whom": "The person who takes it or to whom it is sent.",
        "method": "A download gets an address and a code, each shown once.",
        "ends_at": "At most 90 days from now.",
        "although": "By somebody who may approve and decided none of it. Kept permanently.",
    }

    def __init__(
        self, *args: Any, is_released: bool = False, differs: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if not differs:
            del self.fields["although"]
        self.fields["ends_at"].required = False
        if is_released:
            for name in ("answers", "still_due"):
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        """Ask for the end of an address, and for what is left, beside their fields."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("method") == "download" and "ends_at" not in self.errors:
            end = cleaned.get("ends_at")
            wrong = wrong_end(end, timezone.now()) if end else "Say until when the address opens."
            if wrong:
                self.add_error("ends_at", wrong)
        elif cleaned.get("method") != "download":
            cleaned["ends_at"] = None
        if cleaned.get("answers"):
            wrong = why_not_left(cleaned["answers"], cleaned.get("still_due", ""))
            if wrong:
                self.add_error("still_due", wrong)
        return cleaned


class WordingForm(RecordForm, of=CertificateWording):
    """How the certificate of the records custodian reads."""

    rows = {"words": 16}
    labels = {"words": "Wording", "law": "Law or rule that it follows"}
    edition = forms.IntegerField(required=False, widget=forms.HiddenInput)

    @property
    def said(self) -> dict[str, Any]:
        """The entry: the wording, without which edition was read."""
        return {name: value for name, value in self.entry.items() if name != "edition"}

    @property
    def beside(self) -> dict[str, Any]:
        """The edition that was read; 0 for the standard wording."""
        return {"edition": self.cleaned_data["edition"] or 0}

    help_texts = {
        "words": "A paragraph a line. Filled in: "
        + ", ".join(f"{{{name}}}" for name in FIELDS)
        + ". What the request does not say stays as a line to write on.",
        "law": "",
        "approved_by": "",
        "approved_on": "",
    }
