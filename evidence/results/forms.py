"""The form of a result: who said what on which items, and a line for each analyte."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms

from evidence.items.models import Item
from evidence.results.actions import MOST_LINES
from evidence.results.models import RELATIONS, Result, ResultLine
from evidence.results.rules import LINE_FIELDS
from me_office.shell.forms import RecordForm

LINES_SHOWN = 6
LABELS = {
    "analyte": "Analyte",
    "relation": "Reported as",
    "value": "Value",
    "unit": "Unit",
    "matrix": "Material",
    "reporting_limit": "Reporting limit",
}


class ResultForm(RecordForm, of=Result):
    """What was reported. `shown` lines of analytes can be filled; more are asked for apart."""

    rows = {"statement": 5}
    labels = {
        "kind": "Kind of examination",
        "status": "The report is",
        "organization": "Laboratory, office or hospital",
        "reported_on": "Date of the report",
        "statement": "What it says",
    }
    help_texts = {
        "organization": "As the letterhead says.",
        "reported_by": "Name and credentials of who signed it.",
        "reference": "Their case or accession number.",
        "statement": "The conclusion, diagnosis or comment in its own words. Values of "
        "analytes have lines of their own below.",
        "why_replaced": "Amended by the laboratory, or entered wrongly here.",
    }

    def __init__(
        self,
        *args: Any,
        items: Sequence[Item] = (),
        replaces: Result | None = None,
        shown: int = LINES_SHOWN,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.shown = min(max(shown, LINES_SHOWN, self._lines_sent()), MOST_LINES)
        for place in range(1, self.shown + 1):
            self._add_line(place)
        if replaces is None:
            del self.fields["why_replaced"]
        else:
            self.fields["why_replaced"].required = True
        self.fields["items"] = forms.MultipleChoiceField(
            label="On which items",
            required=False,
            widget=forms.CheckboxSelectMultiple,
            choices=[(str(item.pk), str(item)) for item in items],
            help_text="Leave empty where the report names none.",
        )

    def _lines_sent(self) -> int:
        sent = [name[8:] for name in self.data if name.startswith("analyte_")]
        return max((int(end) for end in sent if end.isdecimal() and len(end) < 4), default=0)

    def _add_line(self, place: int) -> None:
        for name in LINE_FIELDS:
            column = ResultLine._meta.get_field(name)
            field = (
                forms.ChoiceField(choices=[("", "Choose"), *RELATIONS], required=False)
                if name == "relation"
                else forms.CharField(max_length=column.max_length, required=False)  # type: ignore[union-attr]
            )
            field.label = f"{LABELS[name]}, line {place}"
            if name in {"value", "reporting_limit"}:
                field.widget.attrs["inputmode"] = "decimal"
            self.fields[f"{name}_{place}"] = field

    @property
    def line_rows(self) -> list[dict[str, Any]]:
        """The fields of each line, for the page."""
        return [
            {
                "place": place,
                "fields": [(self[f"{name}_{place}"], LABELS[name]) for name in LINE_FIELDS],
            }
            for place in range(1, self.shown + 1)
        ]

    def clean(self) -> dict[str, Any]:
        """Keep the lines in their order; an empty line between others is refused by its name."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        filled = [any(self._line(cleaned, n).values()) for n in range(1, self.shown + 1)]
        last = max((n for n, full in enumerate(filled, start=1) if full), default=0)
        self.last_line = last
        return cleaned

    def _line(self, cleaned: dict[str, Any], place: int) -> dict[str, str]:
        return {name: cleaned.get(f"{name}_{place}") or "" for name in LINE_FIELDS}

    @property
    def lines(self) -> list[dict[str, str]]:
        """The filled lines, as the action takes them."""
        return [self._line(self.cleaned_data, n) for n in range(1, self.last_line + 1)]

    @property
    def item_keys(self) -> list[UUID]:
        """The items that were chosen."""
        return [UUID(key) for key in self.cleaned_data["items"]]

    @property
    def beside(self) -> dict[str, Any]:
        """Items and lines are rows of their own."""
        return {"items": self.item_keys, "lines": self.lines}

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes as `entry`."""
        columns = self._meta.fields or ()
        return {name: value for name, value in self.entry.items() if name in columns}
