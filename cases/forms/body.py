"""The body's receipt and the decedent."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.actions.body import RECEIPT_UNITS
from cases.actions.report import AGE_UNITS
from cases.forms import offer
from cases.models import BodyReceipt, Decedent
from cases.queries.people import staff_holding
from cases.rules.decedent import RACES
from me_office.accounts.roles import Role
from me_office.shell.forms import RecordForm
from me_office.shell.measures import as_entered, measure_fields

AGE_HELP = "Choose months, days or hours for an infant"


class BodyReceiptForm(RecordForm, of=BodyReceipt):
    """The body comes into the office's keeping."""

    asks = [
        "received_at", "received_by", "delivered_by", "received_from", "tag_number",
        "seal_state", "seal_number", "condition", "body_temp_c", "kept_at",
    ]  # fmt: skip

    buttons = ("seal_state",)
    labels = {
        "tag_number": "Number on the body tag",
        "seal_state": "Seal of the bag",
        "condition": "As received",
        "body_temp_c": "Body temperature",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        receivers = staff_holding(Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN, Role.SUPERVISOR)
        offer(self, "received_by", receivers, nobody="you")
        self.fields["received_by"].required = False
        measure_fields(self, RECEIPT_UNITS)

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes; nobody chosen means whoever enters it."""
        said = as_entered(super().entry, RECEIPT_UNITS)
        if said.get("received_by") is None:
            said.pop("received_by", None)
        return said


class DecedentForm(RecordForm, of=Decedent):
    """Who died, as far as it is known."""

    asks = [
        "family_name", "given_names", "also_known_as", "working_name", "sex", "born_on",
        "age_years", "hispanic_origin", "hispanic_origin_other", "race", "race_words",
        "home_address", "description",
    ]  # fmt: skip

    rows = {"description": 4}
    labels = {
        "working_name": "Working name, until the name is known",
        "born_on": "Date of birth",
        "age_years": "Age",
        "hispanic_origin_other": "Which other origin",
        "race_words": "Tribe, or which other race",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["age_years"].help_text = AGE_HELP
        measure_fields(self, AGE_UNITS)
        self.fields["race"] = forms.MultipleChoiceField(
            label="Race", choices=RACES, required=False, widget=forms.CheckboxSelectMultiple,
            help_text="One or more, as the informant says (item 53)",
        )  # fmt: skip

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes, with the age as it was given."""
        return as_entered(super().entry, AGE_UNITS)
