"""The form of an organ's weight."""

from __future__ import annotations

from django import forms

from findings.forms import ReasonedForm
from findings.organs.actions import ORGAN_FIELDS
from findings.organs.models import OrganWeight


class OrganWeightForm(ReasonedForm):
    """The weight of one organ."""

    units = {"weight_g": "g"}
    labels = {"weight_g": "Weight"}

    class Meta:
        model = OrganWeight
        fields = [*ORGAN_FIELDS]
        widgets = {
            "weight_g": forms.NumberInput(attrs={"autofocus": True}),
            "seen_as": forms.TextInput,
        }
