"""Forms of the case file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms

from me_office.shell.forms import record_field


def named_each(form: forms.BaseForm, name: str, words: Callable[[Any], str]) -> None:
    """Name each record that a field offers by these words."""
    record_field(form, name).label_from_instance = words  # type: ignore[method-assign, assignment]


def offer(form: forms.BaseForm, name: str, people: Any, *, nobody: str = "") -> None:
    """Let a field of a form choose among people; `nobody` is shown where nobody is chosen."""
    field = record_field(form, name)
    field.queryset = people
    if nobody:
        field.empty_label = nobody
