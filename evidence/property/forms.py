"""Forms of things."""

from __future__ import annotations

from typing import Any

from django import forms

from evidence.custody.opening_fields import HandOver
from evidence.items import kinds
from evidence.property.models import PropertyItem
from findings.models import Finding
from me_office.audit.errors import Invalid
from me_office.shell.forms import RecordForm, choose_from, record_field, say_needed


class PropertyForm(RecordForm, of=PropertyItem):
    """What a thing is, what it is kept as, and where it was found."""

    rows = {"description": 3, "cash_count": 3}
    labels = {"found_at": "Place, in words", "finding": "Finding that it came from"}
    # Not the model's field: a count is typed as lines and kept as pieces and values.
    cash_count = forms.CharField(
        label="Cash by count",
        max_length=400,
        required=False,
        widget=forms.Textarea,
        help_text="A line for each denomination: 3 x 20.00. The total is calculated.",
    )
    cash_currency = forms.CharField(
        label="Currency", max_length=3, required=False, help_text="Three letters: USD."
    )
    asks = [
        "category", "kept_as", "description", "found", "found_at", "finding", "witnessed_by",
    ]  # fmt: skip
    widgets = {"kept_as": forms.RadioSelect}
    help_texts = {
        "description": "What can be seen: a yellow metal ring with a clear stone.",
        "found_at": "Left front pocket; wall behind the chair, 96 cm above the floor.",
        "finding": "For items recovered from a wound.",
        "witnessed_by": "Who counted with you. Cash is counted by two people.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        case = kwargs.pop("case", None)
        super().__init__(*args, **kwargs)
        there = self.instance if not self.instance._state.adding else None
        if there is None:
            # What nobody has said yet is chosen, not left standing.
            for name in ("category", "kept_as"):
                self.initial.pop(name, None)
                self.fields[name].initial = None
        else:
            self.initial["cash_count"] = kinds.cash_typed(there.cash_count)
            self.initial["cash_currency"] = there.cash_currency
        choose_from(self, "category", [("", "Choose"), *kinds.CATEGORIES])
        choose_from(self, "kept_as", list(kinds.KEPT_AS))
        choose_from(self, "found", [("", "Choose"), *kinds.FOUND])
        self.fields["found"].required = there is None or bool(there.found)
        of_case = case or getattr(there, "case", None)
        finding = record_field(self, "finding")
        finding.empty_label = "No finding"
        finding.queryset = Finding.objects.filter(case=of_case, voided_at=None)
        say_needed(self, "required for cash", "cash_count", "witnessed_by")

    def clean_cash_count(self) -> list[dict[str, Any]]:
        """Read the count, a line for each denomination."""
        try:
            return kinds.count_of_cash(self.cleaned_data["cash_count"])
        except Invalid as error:
            raise forms.ValidationError(error.errors["cash_count"]) from error

    def clean_cash_currency(self) -> str:
        """Write the currency in capitals."""
        return str(self.cleaned_data["cash_currency"]).strip().upper()


class RecordPropertyForm(HandOver, PropertyForm):
    """A new thing with its seal and its first transfer."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()


class CorrectPropertyForm(PropertyForm):
    """A correction to a thing, with the reason."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"description": 3, "reason": 2}
