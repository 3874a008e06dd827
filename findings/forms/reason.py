"""What the forms share: the reason that a change asks for, and withdrawing a record."""

from __future__ import annotations

from typing import Any

from django import forms

from me_office.shell.forms import OfficeForm, RecordForm


def reason_field(*, required: bool = False) -> forms.CharField:
    """Why something that stands is changed."""
    return forms.CharField(
        required=required,
        max_length=400,
        label="Reason" if required else "Reason for the change",
        help_text="Kept permanently with the change, in your name.",
    )


def say_nothing(field: Any, words: str) -> None:
    """Name the choice that says nothing, or leave it out."""
    chosen = [(value, title) for value, title in field.choices if value]
    field.choices = [("", words), *chosen] if words else chosen


def reason_for_adding(form: Any, *, ended: bool) -> None:
    """Ask why something new is added, but only once the examination has ended.

    Until then nothing is asked: it is recorded as it is seen. `form` has a field `reason`.
    """
    if not ended:
        del form.fields["reason"]
        return
    field = form.fields["reason"]
    field.required = field.widget.is_required = True
    field.label = "Reason for adding it now"
    field.help_text = "The examination has ended. Kept permanently, in your name."


class ReasonedForm(RecordForm):
    """The form of a part of an examination: it asks why it is changed, or added after the end."""

    reason = reason_field()

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            reason_for_adding(self, ended=ended)


class VoidForm(OfficeForm):
    """Withdrawing a record, with the reason."""

    reason = reason_field(required=True)
