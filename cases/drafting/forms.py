"""Forms of short keys and of the office's words."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.drafting import rules
from cases.drafting.models import OfficeWord, ShortKey
from me_office.shell.forms import RecordForm


class ShortKeyForm(RecordForm, of=ShortKey):
    """A short key and its text; shared where the person may keep those of the office."""

    rows = {"text": 4}
    shared = forms.BooleanField(
        required=False,
        label="For everybody in the office",
        help_text="Otherwise it is yours alone.",
    )
    help_texts = {
        "key": "Typed as /key and a blank, it becomes the text.",
        "text": "[ ] is a blank to fill in: Tab goes from one to the next.",
    }

    def __init__(self, *args: Any, may_share: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not may_share or not self.instance._state.adding:
            del self.fields["shared"]

    def clean_key(self) -> str:
        """Return the key without the slash that somebody typed along."""
        return rules.key_as_kept(self.cleaned_data["key"])


class OfficeWordForm(RecordForm, of=OfficeWord):
    """A word that the office spells so."""

    help_texts = {"word": "As the report is to spell it."}
