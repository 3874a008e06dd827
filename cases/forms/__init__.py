"""Forms of the case file."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from me_office.shell.forms import OfficeFormMixin


def of_one(form: OfficeFormMixin) -> dict[str, Any]:
    """Return what an action needs of a form for the one record of its kind that a case has."""
    return {"record_id": form.record_id, "version": form.version, "entry": form.entry}


def offer(form: forms.BaseForm, name: str, people: Any, *, nobody: str = "") -> None:
    """Let a field of a form choose among people; `nobody` is shown where nobody is chosen."""
    field = cast("forms.ModelChoiceField[Any]", form.fields[name])
    field.queryset = people
    if nobody:
        field.empty_label = nobody


def without_blank(form: forms.BaseForm, *names: str) -> None:
    """Leave out the empty choice of fields that are answered by a row of buttons."""
    for name in names:
        field: Any = form.fields[name]
        field.choices = [(value, words) for value, words in field.choices if value != ""]
