"""The form by which a specimen that others took is received."""

from __future__ import annotations

from typing import Any

from django import forms

from evidence.custody.opening_fields import seal_fields
from evidence.items.kinds import BY_OTHERS
from evidence.specimens.forms import OF_OTHERS, SpecimenForm


class ReceiveSpecimenForm(SpecimenForm):
    """Blood of a hospital, a swab of the police: whose it is, how it came, and its seal."""

    origin = forms.ChoiceField(
        label="When it was taken", choices=BY_OTHERS, widget=forms.RadioSelect
    )
    taken_at = forms.DateTimeField(
        label="Taken at",
        required=False,
        help_text="Leave empty if the label has no time, or one that cannot be right.",
    )
    received_at = forms.DateTimeField(label="Received at")
    received_place = forms.CharField(label="Place", max_length=160)
    came_sealed = forms.BooleanField(label="It arrived under this seal", required=False)
    seal_number, seal_number_repeats = seal_fields()
    sealed_at = forms.DateTimeField(
        label="Sealed at", required=False, help_text="If it arrived unsealed and was sealed here."
    )
    asks = [*SpecimenForm.asks, *OF_OTHERS]
    help_texts = {
        **SpecimenForm.help_texts,
        "taken_by": "Name or ward, as on the label.",
        "taken_where": "Hospital and ward; ambulance.",
        "label_time": "Exactly as written: 11/13/26 2140. Write “none” if there is none.",
        "received_from": "Who handed it to you: laboratory desk, courier.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in OF_OTHERS:
            self.fields[name].required = True
