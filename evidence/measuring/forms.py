"""Forms of measuring."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms

from evidence.measuring.models import Measurement
from evidence.measuring.rules import CopyKind, Dimension
from evidence.photographs.forms import finding_choices
from findings.models import Finding
from me_office.shell.forms import OfficeForm, choose_from
from me_office.shell.json_text import read_json
from me_office.worded import as_choices


class MeasureForm(OfficeForm):
    """What was picked in the picture, with the finding that it measures and a note."""

    measured = forms.CharField(widget=forms.HiddenInput, required=False)
    finding = forms.ChoiceField(required=False, help_text="What it measures, if a finding")
    note = forms.CharField(
        required=False, max_length=240, help_text="From where to where, what was left out"
    )

    def __init__(self, *args: Any, findings: Iterable[Finding], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "finding", [("", "No finding"), *finding_choices(findings)])

    def clean_measured(self) -> dict[str, Any]:
        """The picked points; the page's script writes them, the action judges them."""
        try:
            picked = read_json(self.cleaned_data["measured"] or "null")
        except json.JSONDecodeError:
            picked = None
        if not isinstance(picked, dict):
            raise forms.ValidationError(
                "First pick the points of the scale and of what is measured."
            )
        return picked

    @property
    def said(self) -> dict[str, Any]:
        """What was picked, with the finding by its key."""
        entry = self.entry
        finding = UUID(entry["finding"]) if entry["finding"] else None
        return {**entry["measured"], "finding_id": finding, "note": entry["note"]}


class UseForm(OfficeForm):
    """Which finding takes its length or width from a measurement."""

    finding = forms.ChoiceField()
    dimension = forms.ChoiceField(
        choices=as_choices(Dimension),
        widget=forms.RadioSelect,
        initial=Dimension.LENGTH.value,
        label="Its",
    )

    def __init__(self, *args: Any, findings: Iterable[Finding], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.versions = {str(each.pk): each.version for each in findings}
        choose_from(self, "finding", finding_choices(findings))
        self.fields["versions"] = forms.CharField(widget=forms.HiddenInput, required=False)
        self.fields["versions"].initial = json.dumps(self.versions)

    @property
    def beside(self) -> dict[str, Any]:
        """The finding by its key."""
        return {"finding_id": UUID(self.cleaned_data["finding"])}

    @property
    def version(self) -> int:
        """The chosen finding's version as the person read it."""
        try:
            read = read_json(self.cleaned_data.get("versions") or "{}")
            return int(read.get(self.cleaned_data["finding"], 0))
        except (ValueError, AttributeError, TypeError):
            return 0


class CopyForm(OfficeForm):
    """A copy to make from a measurement."""

    kind = forms.ChoiceField(
        choices=[
            (CopyKind.MARKED.value, "marked: the whole picture with line and size"),
            (CopyKind.CROPPED.value, "cropped: scale and object, with line and size"),
            (CopyKind.RECTIFIED.value, "rectified: as seen square on, by a right-angled scale"),
        ],
        widget=forms.RadioSelect,
        initial=CopyKind.MARKED.value,
    )
    measurement = forms.ChoiceField()
    with_line = forms.BooleanField(
        required=False,
        initial=True,
        label="With the measured line and its size",
        help_text="For a rectified copy; the other two always show it. The words “in the plane of "
        "the scale” appear beside the size.",
    )

    def __init__(self, *args: Any, measurements: Iterable[Measurement], **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "id_copy_%s", **kwargs})
        choices = [(str(each.pk), f"{each}: {each.short_words}") for each in measurements]
        choose_from(self, "measurement", choices)

    @property
    def beside(self) -> dict[str, Any]:
        """The measurement by its key."""
        return {"measurement_id": UUID(self.cleaned_data["measurement"])}
