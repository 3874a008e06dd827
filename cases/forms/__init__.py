"""Forms of the case file."""

from __future__ import annotations

from typing import Any

from django import forms

from me_office.shell.forms import choice_field, choices_of, record_field


def offer(form: forms.BaseForm, name: str, people: Any, *, nobody: str = "") -> None:
    """Let a field of a form choose among people; `nobody` is shown where nobody is chosen."""
    field = record_field(form, name)
    field.queryset = people
    if nobody:
        field.empty_label = nobody


def without_blank(form: forms.BaseForm, *names: str) -> None:
    """Leave out the empty choice of fields that are answered by a row of buttons."""
    for name in names:
        kept = [(value, words) for value, words in choices_of(form, name) if value != ""]
        choice_field(form, name).choices = kept
