"""The form by which a kit or tray is recorded."""

from __future__ import annotations

from typing import Any

from django import forms

from evidence import kinds
from evidence.forms import SITE_REASON_HELP, HandOver
from evidence.models import Kit
from evidence.suggested import SPECIMEN_WORDS
from me_office.audit.errors import Invalid
from me_office.shell.forms import RecordForm
from me_office.shell.suggested import suggest


class RecordKitForm(HandOver, RecordForm):
    """Several specimens under one seal, a line for each."""

    rows = {"parts": 8}
    labels = {"kind": "What it is", "description": "Description"}
    parts = forms.CharField(
        label="Parts",
        max_length=12_000,
        widget=forms.Textarea,
        help_text="A line for each, what it is and from where: A1: Heart, left ventricle, or: "
        "Swabs, mouth. Lines without a label are numbered.",
    )
    site_reason = forms.CharField(
        label="Why a site is right", max_length=240, required=False, help_text=SITE_REASON_HELP
    )
    container = forms.CharField(
        label="Container of each", max_length=120, help_text="Cassette; swab box; gray-top tube."
    )
    preservative = forms.CharField(label="Preservative", max_length=120, required=False)
    purpose = forms.CharField(label="Taken for", max_length=120, required=False)

    class Meta:
        model = Kit
        fields = ["kind", "description"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suggest(self, SPECIMEN_WORDS)
        self.name_people()

    def clean_parts(self) -> list[dict[str, str]]:
        """Read the parts, a line for each."""
        try:
            return kinds.parts_of(self.cleaned_data["parts"])
        except Invalid as error:
            raise forms.ValidationError(error.errors["parts"]) from error

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes beside the parts."""
        return {name: value for name, value in super().entry.items() if name != "parts"}
