"""The report of death and the decision on jurisdiction."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.db.models import Model

from cases.actions.report import AGE_UNITS
from cases.forms.body import AGE_HELP
from cases.models import Case, Decedent, JurisdictionDecision, ReportOfDeath
from cases.rules.case import Certainty
from me_office.audit.fields import said_of
from me_office.audit.ids import new_id
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, long_text
from me_office.shell.measures import as_entered, measure_fields
from me_office.shell.suggested import suggest
from me_office.statements import COMMON_PRACTICE, Statement, statement_list

HOW_SURE = "Say how certain it is: exact, about, between or unknown."
CASE_FIELDS = ("heading", "place_of_death")
# Suggested while the call is written down; any other words may be typed. Common practice.
CALL_WORDS = {
    "caller_role": (
        "Police officer", "Deputy sheriff", "State trooper", "Dispatcher", "Firefighter",
        "Paramedic", "Emergency physician", "Attending physician", "Nurse", "Hospice nurse",
        "Hospital registrar", "Nursing home staff", "Corrections officer", "Funeral director",
        "Organ procurement coordinator", "Family member", "Neighbor", "Coworker", "Passer-by",
    ),
    "place_kind": (
        "Home", "Home of another", "Hotel or motel", "Shelter", "Nursing home", "Hospice",
        "Hospital", "Ambulance", "Jail or prison", "Police custody", "School", "Child care",
        "Workplace", "Farm", "Construction site", "Road", "Parking lot", "Vehicle", "Railroad",
        "Water", "Pool", "Park", "Woods", "Field", "Outdoors, camp or encampment",
    ),
}  # fmt: skip
DECEDENT_FIELDS = ("family_name", "given_names", "working_name", "sex", "age_years")


def fields_of(model: type[Model], *names: str) -> dict[str, forms.Field]:
    """Return form fields that a form borrows from another record type, as its model has them."""
    return forms.fields_for_model(model, names)


@statement_list
def _suggested() -> Iterator[Statement]:
    for name, words in CALL_WORDS.items():
        text = f"First call, {name.replace('_', ' ')}: {'; '.join(words)}"
        yield Statement(f"suggested.{name}", text, "Words that are suggested", COMMON_PRACTICE)


class ReportForm(RecordForm, of=ReportOfDeath):
    """What the caller said; with the words that name the case."""

    reason = long_text("Reason for the change", max_length=500, required=True)
    widgets = {
        "last_alive_certainty": forms.RadioSelect,
        "found_certainty": forms.RadioSelect,
    }

    rows = {"circumstances": 5, "reason": 2}
    labels = {
        "called_at": "Time of the call",
        "caller_name": "Who called",
        "caller_role": "In what capacity",
        "caller_agency": "Agency",
        "caller_phone": "Telephone",
        "place_found": "Where the body is",
        "place_kind": "What kind of place",
        "circumstances": "What the caller said",
        "last_alive_certainty": "Last known alive",
        "last_alive_by": "Seen or heard by",
        "found_certainty": "Found",
        "pronounced_by": "Pronounced dead by",
        "heading": "Heading of the case",
        "place_of_death": "Place of death, if elsewhere",
        "family_name": "Family name",
        "given_names": "Given names",
        "working_name": "Working name, until the name is known",
        "age_years": "Age",
    }

    def __init__(self, *args: Any, case: Case | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suggest(self, CALL_WORDS)
        self.fields |= fields_of(Case, *CASE_FIELDS)
        if case is None:
            self.fields |= fields_of(Decedent, *DECEDENT_FIELDS)
            del self.fields["reason"]
            self.fields["age_years"].help_text = AGE_HELP
            measure_fields(self, AGE_UNITS)
            for name in ("last_alive_certainty", "found_certainty"):
                self.initial[name] = None
                self.fields[name].error_messages["required"] = HOW_SURE
        else:
            self.initial.update(said_of(case, CASE_FIELDS))
        self.prepare(self.instance if case is not None else None)

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes, with the age as it was given."""
        return as_entered(super().entry, AGE_UNITS)

    def clean(self) -> dict[str, Any]:
        """Take of an uncertain time what its certainty needs; the rest was hidden or left over."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        for name in ("last_alive", "found"):
            certainty = cleaned.get(f"{name}_certainty")
            if certainty == Certainty.UNKNOWN:
                cleaned[f"{name}_at"] = None
            if certainty != Certainty.BETWEEN:
                cleaned[f"{name}_until"] = None
        return cleaned


class JurisdictionForm(OfficeForm):
    """Accepted or declined, on which ground and why."""

    outcome = forms.ChoiceField(
        label="Jurisdiction is", choices=JurisdictionDecision.OUTCOMES, widget=forms.RadioSelect
    )
    ground = forms.CharField(
        label="Ground", max_length=160, required=False,
        help_text="Class of death or section of law",
    )  # fmt: skip
    reason = long_text("Why", "Kept permanently with the decision.")
    decided_at = forms.DateTimeField(
        label="Decided at", required=False,
        help_text="Leave empty for now. The case number takes the year of the decision.",
    )  # fmt: skip

    rows = {"reason": 3}

    def __init__(self, *args: Any, case: Case, can_decline: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, record=case, **kwargs)
        # The form carries the case's version, but the key of a new record: the decision's.
        self.fields["record_id"].initial = new_id()
        if not can_decline:
            outcome = choice_field(self, "outcome")
            outcome.choices = JurisdictionDecision.OUTCOMES[:1]
            self.initial["outcome"] = "accepted"
