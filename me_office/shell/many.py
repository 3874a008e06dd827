"""Choices of which many are alike: one tick for all of them, and each is still chosen by itself.

A box for several sends their values parted by tabs, which no value holds. It stands for what was
on the page when it was ticked, never for what came since. Works without a script.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

PARTED_BY = "\t"
# Two boxes are ticked as fast as one is read.
ALIKE_FROM = 3


class ManyField(forms.MultipleChoiceField):
    """Values that are sent one by one, or several in one; each is checked by itself."""

    widget = forms.CheckboxSelectMultiple

    def to_python(self, value: object) -> list[str]:
        """Return each value once, in the order in which it was sent."""
        sent = super().to_python(value)
        return list(dict.fromkeys(one for several in sent for one in several.split(PARTED_BY)))


@dataclass(frozen=True)
class ChoiceGroup:
    """Boxes under one title; `together` is the value that stands for all of them, if there is one.

    `checked` says whether that box was ticked, `some` whether one of the others was.
    """

    title: str
    boxes: Sequence[Any]
    together: str = ""
    checked: bool = False
    some: bool = False


def groups_of(bound: forms.BoundField, alike: Mapping[str, str]) -> list[ChoiceGroup]:
    """Return a field's boxes in their order; `alike` gives the title under which a value goes.

    Fewer than three of a title stand by themselves, as do those without one.
    """
    boxes = {str(box.data["value"]): box for box in bound}
    members: dict[str, list[str]] = {}
    for value in boxes:
        members.setdefault(alike.get(value) or value, []).append(value)
    sent = bound.value()
    sent = {str(one) for one in sent} if isinstance(sent, list | tuple | set) else set()
    found = []
    for title, values in members.items():
        if len(values) < ALIKE_FROM:
            found += [ChoiceGroup("", [boxes[value]]) for value in values]
            continue
        together = PARTED_BY.join(values)
        found.append(
            ChoiceGroup(
                title,
                [boxes[value] for value in values],
                together,
                together in sent,
                bool(sent & set(values)),
            )
        )
    return found
