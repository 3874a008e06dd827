"""The reason that a change asks for, and the form that withdraws a record."""

from __future__ import annotations

from django import forms

from me_office.shell.forms import OfficeForm


def reason_field(*, required: bool = False) -> forms.CharField:
    """Why something that stands is changed."""
    return forms.CharField(
        required=required,
        max_length=400,
        label="Reason" if required else "Reason for the change",
        help_text="Kept with the change for good, in your name.",
    )


class VoidForm(OfficeForm):
    """Withdrawing a record, with the reason."""

    reason = reason_field(required=True)
