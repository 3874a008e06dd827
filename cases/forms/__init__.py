"""Forms of the case file."""

from __future__ import annotations

from typing import Any, cast

from django import forms


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
