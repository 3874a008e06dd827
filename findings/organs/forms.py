"""The form of an organ's weight."""

from __future__ import annotations

from django import forms

from findings.forms import ReasonedForm
from findings.organs.models import OrganWeight


class OrganWeightForm(ReasonedForm, of=OrganWeight):
    """The weight of one organ."""

    units = {"weight_g": "g"}
    labels = {"weight_g": "Weight"}
    widgets = {
        "weight_g": forms.NumberInput(attrs={"autofocus": True}),
        "seen_as": forms.TextInput,
    }
