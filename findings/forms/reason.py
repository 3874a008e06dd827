"""What the forms share: the reason that a change asks for, and withdrawing a record."""

from __future__ import annotations

from typing import Any

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


def say_nothing(field: Any, words: str) -> None:
    """Name the choice that says nothing, or leave it out."""
    chosen = [(value, title) for value, title in field.choices if value]
    field.choices = [("", words), *chosen] if words else chosen


class VoidForm(OfficeForm):
    """Withdrawing a record, with the reason."""

    reason = reason_field(required=True)
