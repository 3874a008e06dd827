"""The form that asks for a packet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from cases.court.models import RecordsRequest
from me_office.shell.forms import OfficeForm
from me_office.shell.templatetags.office import day


class RequestChoice(forms.ModelChoiceField):
    """Open requests, each with what tells it from the others."""

    def label_from_instance(self, asked: RecordsRequest) -> str:
        """Name the request: Subpoena 26-CF-0117, county attorney, due 30 Nov 2026."""
        cause = f" {asked.cause_number}" if asked.cause_number else ""
        kind = asked.get_kind_display().capitalize()
        return f"{kind}{cause}, {asked.party}, due {day(asked.due_on)}"


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
        label="With the photographs",
        help_text="The originals, unchanged, and two a page in the report.",
    )
    with_history = forms.BooleanField(
        required=False,
        initial=True,
        label="With the history of the case file",
        help_text="Every change: who, when, what and why.",
    )

    def __init__(self, *args: Any, requests: QuerySet[RecordsRequest], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["asked"].queryset = requests  # type: ignore[attr-defined]

    @property
    def chosen(self) -> dict[str, bool]:
        """What goes into the packet, as the action takes it."""
        return {name: self.cleaned_data[name] for name in ("with_photographs", "with_history")}


class RetryForm(OfficeForm):
    """Tries again; it asks for nothing."""
