"""The body's receipt and the decedent."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.forms import offer, without_blank
from cases.models import BodyReceipt, Decedent
from cases.queries.people import staff_holding
from me_office.accounts.roles import Role
from me_office.shell.forms import RecordForm

AGE_HELP = "Of an infant as a part of a year: 0.25 is three months"


class BodyReceiptForm(RecordForm):
    """The body comes into the office's keeping."""

    class Meta:
        model = BodyReceipt
        fields = [
            "received_at", "received_by", "delivered_by", "received_from", "tag_number",
            "seal_state", "seal_number", "condition", "body_temp_c", "kept_at",
        ]  # fmt: skip
        widgets = {"seal_state": forms.RadioSelect}

    units = {"body_temp_c": "°C"}
    labels = {
        "received_at": "Received at",
        "received_by": "Received by",
        "delivered_by": "Delivered by",
        "received_from": "Received from",
        "tag_number": "Number on the body tag",
        "seal_state": "Seal of the bag",
        "seal_number": "Seal number",
        "condition": "As received",
        "body_temp_c": "Body temperature",
        "kept_at": "Kept at",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        receivers = staff_holding(Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN, Role.SUPERVISOR)
        without_blank(self, "seal_state")
        offer(self, "received_by", receivers, nobody="you")
        self.fields["received_by"].required = False

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes; nobody chosen means whoever enters it."""
        said = super().entry
        if said.get("received_by") is None:
            said.pop("received_by", None)
        return said


class DecedentForm(RecordForm):
    """Who died, as far as it is known."""

    class Meta:
        model = Decedent
        fields = [
            "family_name", "given_names", "also_known_as", "working_name", "sex", "born_on",
            "age_years", "home_address", "description",
        ]  # fmt: skip

    rows = {"description": 4}
    units = {"age_years": "years"}
    labels = {
        "working_name": "Working name, while the name is not known",
        "born_on": "Date of birth",
        "age_years": "Age",
        "also_known_as": "Also known as",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["age_years"].help_text = AGE_HELP
