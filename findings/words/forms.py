"""The form for a term of the office."""

from __future__ import annotations

from typing import Any

from django import forms

from findings.words.models import OfficeTerm, OfficeWording
from me_office.shell.forms import RecordForm


class OfficeTermForm(RecordForm, of=OfficeTerm):
    """A term and its class."""

    help_texts = {"term": "As the report will print it, in medical terms."}


class WordingForm(RecordForm, of=OfficeWording):
    """What the office says in place of the standard wording; `replaces` is what was read."""

    replaces = forms.UUIDField(required=False, widget=forms.HiddenInput)
    labels = {"words": "The office’s own wording"}

    @property
    def beside(self) -> dict[str, Any]:
        """The wording that was read; None where it was the standard one."""
        return {"replaces": self.cleaned_data.get("replaces")}

    def go_on_from(self, standing: OfficeWording | None) -> None:
        """Let what was refused be sent again, knowing what stands now."""
        data = self.data.copy()
        data[self.add_prefix("replaces")] = str(standing.pk) if standing else ""
        self.data = data
