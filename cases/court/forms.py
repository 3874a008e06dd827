"""Forms of requests and releases."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.court.actions import REQUEST_FIELDS
from cases.court.demanding import DEMAND_FIELDS
from cases.court.models import Demand, RecordsRequest, Release
from cases.court.rules import why_not_left, wrong_in_demand, wrong_in_request
from cases.forms.changed import ChangedForm
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.shell.forms import OfficeForm, RecordForm, long_text, record_field


class RequestForm(ChangedForm):
    """A subpoena, court order or records request."""

    wrong = staticmethod(wrong_in_request)
    rows = {"asks_for": 3, "reason": 3}
    buttons = ("kind",)
    labels = {
        "kind": "Type of request",
        "court": "Court",
        "cause_number": "Cause number",
        "party": "Requesting party",
        "contact": "Send the answer to",
        "served_on": "Served or received on",
        "due_on": "Due on",
        "asks_for": "What is requested",
    }

    class Meta:
        model = RecordsRequest
        fields = [*REQUEST_FIELDS]
        widgets = {"kind": forms.RadioSelect}
        help_texts = {
            "court": "As it appears on the paper; a grand jury or an agency also issues subpoenas.",
            "cause_number": "Exactly as written, or “none”; answers and releases cite it.",
            "party": "Person, firm or office.",
            "contact": "Name, address, telephone, or where files are submitted.",
            "served_on": "",
            "due_on": "The day by which the records must arrive.",
            "asks_for": "In the words of the request, if they are short enough.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.fields["kind"].initial = "subpoena"


class DemandForm(ChangedForm):
    """One thing that a request asks for."""

    wrong = staticmethod(wrong_in_demand)
    rows = {"words": 4, "reason": 2}
    buttons = ("kind",)
    labels = {
        "kind": "What is demanded",
        "title": "In short",
        "words": "In the words of the request",
        "page": "Page of the request",
    }

    class Meta:
        model = Demand
        fields = [*DEMAND_FIELDS]
        widgets = {"kind": forms.RadioSelect}
        help_texts = {
            "title": "As lists and letters call it: All photographs; Histology slides.",
            "words": "Word for word, if they are short enough.",
            "page": "Where it stands in the paper that was served.",
        }


class WithdrawPartForm(OfficeForm):
    """Withdraws a part of a request."""

    rows = {"reason": 2}
    reason = long_text("Reason", "Kept permanently, in your name.")


class WithdrawForm(OfficeForm):
    """Closes a request without an answer."""

    rows = {"reason": 2}
    reason = long_text(
        "Reason", "Withdrawn by the party, quashed, logged twice. Kept permanently, in your name."
    )


class ReleaseForm(RecordForm):
    """Records that a packet was handed over."""

    rows = {"note": 2, "still_due": 2}
    buttons = ("method", "answers")
    needed = {"still_due": "required for a part"}
    labels = {
        "released_to": "Released to",
        "method": "How",
        "released_at": "When",
        "released_by": "By",
        "note": "Note",
        "answers": "This packet holds",
        "still_due": "Still to be sent",
    }

    class Meta:
        model = Release
        fields = ["released_to", "method", "released_at", "released_by", "answers", "still_due",
                  "note"]  # fmt: skip
        widgets = {"method": forms.RadioSelect, "answers": forms.RadioSelect}
        help_texts = {
            "released_to": "The person who took it or to whom it was sent.",
            "still_due": "Item by item, as requested. The request stays open for it.",
            "note": "Tracking number, who checked the digest, what was said.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Nothing is chosen: a clerk decides, item by item, whether everything is there.
        self.fields["answers"].initial = None
        self.initial.setdefault("answers", None)
        self.fields["still_due"].required = False
        staff = Staff.objects.filter(is_active=True, groups__name__in=[*CASE_ROLES]).distinct()
        record_field(self, "released_by").queryset = staff.order_by("display_name", "pk")

    def clean(self) -> dict[str, Any]:
        """Ask for what is left beside its field, before the table says it of the whole."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("answers"):
            wrong = why_not_left(cleaned["answers"], cleaned.get("still_due", ""))
            if wrong:
                self.add_error("still_due", wrong)
        return cleaned
