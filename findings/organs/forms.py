"""The form of an organ's weight."""

from __future__ import annotations

from typing import Any

from django import forms

from findings.forms import reason_field
from findings.organs.actions import ORGAN_FIELDS
from findings.organs.models import OrganWeight
from me_office.shell.forms import RecordForm


class OrganWeightForm(RecordForm):
    """The weight of one organ."""

    reason = reason_field()
    units = {"weight_g": "g"}
    labels = {
        "organ": "Organ",
        "weight_g": "Weight",
        "seen_as": "Seen as",
        "after_fixation": "After fixation",
    }

    class Meta:
        model = OrganWeight
        fields = [*ORGAN_FIELDS]
        widgets = {
            "weight_g": forms.NumberInput(attrs={"autofocus": True}),
            "seen_as": forms.TextInput,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            del self.fields["reason"]
