"""Forms of letters, templates and sendings."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.letters.models import Letter, LetterSending, LetterTemplate
from cases.letters.rules import lacking_in_sending
from me_office.audit.ids import new_id
from me_office.shell.forms import OfficeForm, RecordForm, long_text


class LetterForm(RecordForm, of=Letter):
    """A letter as a draft."""

    rows = {"address": 5, "body": 20, "enclosures": 2}
    labels = {"enclosures": "Enclosed"}
    help_texts = {
        "to_name": "First line of the address.",
        "address": "As on the envelope, one line each, without the name above.",
        "body": "An empty line begins a new paragraph. What stands in braces has to be filled "
        "in or struck.",
        "signer": "Printed below the place for a signature.",
        "enclosures": "One a line.",
    }


class TemplateForm(RecordForm, of=LetterTemplate):
    """The office's words for a kind of letter; a change asks why."""

    rows = {"body": 18, "reason": 2}
    reason = long_text("Reason", "Kept permanently with the edition, in your name.")
    asks = ["title", "subject", "body"]
    help_texts = {
        "title": "When it is used.",
        "body": "An empty line begins a new paragraph. Fields stand in braces.",
    }

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        if self.instance._state.adding:
            del self.fields["reason"]
        else:
            # A new edition is a record of its own.
            self.fields["record_id"].initial = new_id()

    @property
    def said(self) -> dict[str, Any]:
        """The entry with the kind, which the page is about."""
        return {**self.entry, "kind": self.kind}


class SendingForm(RecordForm, of=LetterSending):
    """How a letter went out."""

    wrong = staticmethod(lacking_in_sending)
    buttons = ("way",)
    rows = {"note": 2}
    needed = {"address": "required for fax and e-mail", "sent_at": "required unless by e-mail"}
    labels = {"address": "Fax number or e-mail address"}
    after = forms.UUIDField(required=False, widget=forms.HiddenInput)
    help_texts = {
        "to_name": "Who took it, or to whom it was sent.",
        "sent_at": "Leave empty for e-mail: the moment is noted when it goes out.",
        "note": "Tracking number, who signed for it.",
    }

    @property
    def said(self) -> dict[str, Any]:
        """The entry without what was read of earlier ones."""
        return {name: value for name, value in self.entry.items() if name != "after"}

    @property
    def beside(self) -> dict[str, Any]:
        """Which sending was the last when the page was read."""
        return {"after": self.cleaned_data["after"]}


class MakeForm(OfficeForm):
    """Makes the letter of its draft: nothing is asked but the draft that was read."""
