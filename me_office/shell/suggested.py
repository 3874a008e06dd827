"""A line of text with words to choose from; any other words may be typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django import forms


class SuggestedInput(forms.TextInput):
    """A text field with a list of suggestions beside it."""

    template_name = "shell/form/suggested.html"

    def __init__(self, words: Sequence[str], attrs: dict[str, object] | None = None) -> None:
        super().__init__({**(attrs or {}), "autocomplete": "off"})
        self.words = words

    def get_context(
        self, name: str, value: object, attrs: dict[str, object] | None
    ) -> dict[str, object]:
        """Name the list after the field, so that two forms of a page don't share it."""
        context = super().get_context(name, value, attrs)
        list_id = f"{context['widget']['attrs'].get('id') or name}-words"
        context["widget"]["attrs"]["list"] = list_id
        context["widget"] |= {"list_id": list_id, "words": self.words}
        return context


def suggest(form: forms.BaseForm, words_by_field: Mapping[str, Sequence[str]]) -> None:
    """Let fields of a form suggest words. A field that the form does not have is passed over."""
    for name, words in words_by_field.items():
        if name in form.fields:
            field = form.fields[name]
            field.widget = SuggestedInput(words, attrs=dict(field.widget.attrs))
