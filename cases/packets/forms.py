"""The form that asks for a packet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet

from cases.court.models import RecordsRequest
from cases.exhibits.models import Redaction
from me_office.shell.forms import OfficeForm, choice_field, long_text, record_field


class RequestChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Open requests, each with what tells it from the others."""

    def label_from_instance(self, asked: RecordsRequest) -> str:
        """Name the request: Subpoena 26-CF-0117, county attorney, due 30 Nov 2026."""
        cause = f" {asked.cause_number}" if asked.cause_number else ""
        kind = asked.get_kind_display().capitalize()
        return f"{kind}{cause}, {asked.party}, {asked.due_said}"


class PacketForm(OfficeForm):
    """What a packet is built for, and what goes into it."""

    asked = RequestChoice(
        queryset=RecordsRequest.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        label="For which request",
    )
    with_photographs = forms.BooleanField(
        required=False,
        initial=True,
        label="Include the photographs",
        help_text="In the packet, and two to a page in the report, with findings and measured "
        "lines drawn over them.",
    )
    photograph_form = forms.ChoiceField(
        choices=[
            ("originals", "originals, unchanged, with the camera’s metadata"),
            ("copies", "copies without metadata (place, serial number)"),
        ],
        initial="originals",
        required=False,
        widget=forms.RadioSelect,
        label="Form of the photographs",
        help_text="Only an original proves by its digest that it is the camera’s own. It may name "
        "the place where it was taken. A copy of a JPEG keeps the picture itself byte for byte.",
    )
    originals = forms.MultipleChoiceField(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Redacted copies of these go out in place of the originals. Check "
        "those whose original is to go out anyway",
    )
    originals_why = long_text(
        "Why the originals go out",
        "A court order, a consent. Included in the packet and kept permanently.",
        required=False,
    )
    rows = {"originals_why": 2}
    needed = {"originals_why": "required if an original goes out"}
    with_history = forms.BooleanField(
        required=False,
        initial=True,
        label="Include the history of the case file",
        help_text="Every change: who, when, what and why.",
    )

    curricula = forms.MultipleChoiceField(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Include a curriculum vitae",
        help_text="As it was issued. Choose the version that was in force on the day that counts.",
    )

    def __init__(
        self,
        *args: Any,
        requests: QuerySet[RecordsRequest],
        redactions: Sequence[Redaction] = (),
        curricula: Sequence[tuple[str, str]] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        asked = record_field(self, "asked")
        asked.queryset = requests
        # Of those that were read already: the field would read them once more.
        asked.choices = [(one.pk, asked.label_from_instance(one)) for one in requests]
        choice_field(self, "originals").choices = [
            (str(one.photograph_id), f"Photograph {one.photograph.number}: {one.why}")
            for one in redactions
        ]
        choice_field(self, "curricula").choices = list(curricula)
        if not curricula:
            del self.fields["curricula"]
        if not redactions:
            del self.fields["originals"], self.fields["originals_why"]

    @property
    def said(self) -> dict[str, Any]:
        """What goes into the packet, as the action takes it."""
        said = self.cleaned_data
        return {
            "with_photographs": said["with_photographs"],
            "with_history": said["with_history"],
            "camera_notes": said["photograph_form"] != "copies",
            "originals": said.get("originals", []),
            "originals_why": said.get("originals_why", ""),
            "curricula": said.get("curricula", []),
        }

    @property
    def beside(self) -> dict[str, Any]:
        """For which request."""
        return {"request_id": self.cleaned_data["asked"].pk}
