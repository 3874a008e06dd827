"""Forms of the board and of protective orders."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.docket import queries
from cases.docket.models import ProtectiveOrder
from cases.docket.rules import wrong_in_order
from cases.forms.changed import ChangedForm
from me_office.accounts.models import Staff
from me_office.shell.forms import OfficeForm, long_text
from me_office.shell.typed_field import DayField


class GiveForm(OfficeForm):
    """To whom a request is given."""

    person = forms.ModelChoiceField(Staff.objects.none(), label="Handled by")
    before = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = [one.pk for one in queries.people_who_handle()]
        rows = Staff.objects.filter(pk__in=people).order_by("display_name", "pk")
        self.fields["person"].queryset = rows  # type: ignore[attr-defined]

    @property
    def said(self) -> dict[str, Any]:
        """The entry: the person alone."""
        return {"person": self.cleaned_data["person"]}

    @property
    def beside(self) -> dict[str, Any]:
        """Who was said to handle it when the page was read."""
        return {"before": self.cleaned_data["before"]}


class OrderForm(ChangedForm, of=ProtectiveOrder):
    """An order under which a request is answered."""

    wrong = staticmethod(wrong_in_order)
    buttons = ("copies",)
    rows = {"who_may_see": 3, "note": 2, "reason": 2}
    labels = {"copies": "In the end, the copies", "back_by": "To be returned or destroyed by"}
    help_texts = {
        "who_may_see": "As the order names them.",
        "until": "Empty where the order names no end.",
        "back_by": "The board reminds of this day.",
    }


class EndedForm(OfficeForm):
    """What became of the copies."""

    rows = {"ended_how": 2, "reason": 2}
    labels = {
        "ended_on": "Returned or destroyed on",
        "ended_by": "By whom",
        "ended_how": "How it was confirmed",
    }
    ended_on = DayField(label="Returned or destroyed on")
    ended_by = forms.CharField(max_length=160)
    ended_how = long_text("How it was confirmed", "A letter, a certificate, the copies themselves.")
    reason = long_text("Reason for the change", "Kept permanently, in your name.")

    def __init__(self, *args: Any, record: ProtectiveOrder, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)
        if record.ended_on is None:
            del self.fields["reason"]
