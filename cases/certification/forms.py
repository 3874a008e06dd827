"""The form for cause and manner."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from cases.certification import rules
from cases.certification.actions import FIELDS
from cases.certification.cautions import PREGNANCY_AGES
from cases.certification.items import ACTUAL_OR_PRESUMED, PLACES_OF_DEATH, PREGNANCY
from cases.certification.models import Certification, FollowUp, Particulars
from cases.certification.rules import MANNERS
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, choices_of, long_text

CHOSEN = (
    "autopsy", "autopsy_available", "tobacco", "injury_at_work", "transport_role",
)  # fmt: skip
NOTHING_SAID = {"transport_role": "not a transportation injury"}


class CertificationForm(RecordForm, of=Certification):
    """Part I from the immediate cause down to the underlying one, part II, manner, injury."""

    rows = {"contributing": 2, "basis": 4}
    labels = {
        "cause_b": "Due to, or as a consequence of",
        "cause_c": "Due to, or as a consequence of",
        "cause_d": "Due to, or as a consequence of",
        "interval_a": "Onset to death",
        "interval_b": "Onset to death",
        "interval_c": "Onset to death",
        "interval_d": "Onset to death",
        "manner": "Manner of death",
        "basis": "What the opinion rests on",
        "death_on": "Date of death",
        "death_on_is": "Date is",
        "death_time": "Time of death",
        "death_time_is": "Time is",
        "death_place_kind": "Place of death",
        "death_place_name": "Facility, or street and number",
        "death_city": "City or town",
        "death_county": "County",
        "death_state": "State",
        "death_zip": "ZIP code",
        "autopsy": "Autopsy performed",
        "autopsy_available": "Autopsy findings available to complete the cause",
        "tobacco": "Tobacco use contributed to death",
        "pregnancy": "Pregnancy, if female",
        "injury_on": "Date of injury",
        "injury_time": "Time of injury",
        "injury_at_words": "Date and time in words",
        "injury_place": "Place of injury",
        "injury_street": "Street and number",
        "injury_city": "City or town",
        "injury_state": "State",
        "injury_zip": "ZIP code",
        "injury_how": "How the injury occurred",
        "transport_role": "Role, if a transportation injury",
        "transport_other": "Which other role",
        "certifier_license": "License number",
    }
    reason = long_text(
        "Reason for the change",
        "Required when a stated manner, or what was stated to the registrar, is changed.",
        required=False,
    )
    asks = list(FIELDS)
    widgets = {
        "manner": forms.RadioSelect,
        **dict.fromkeys(CHOSEN, forms.RadioSelect),
    }
    help_texts = {
        "death_on": "Item 29",
        "death_time": "Item 30",
        "death_place_kind": "Item 14",
        "death_place_name": "Item 15",
        "death_city": "Item 16",
        "death_county": "Item 17",
        "autopsy": "Item 33",
        "autopsy_available": "Item 34, asked when an autopsy was performed",
        "tobacco": "Item 35",
        "basis": "Findings, results and circumstances",
        "injury_on": "Item 38",
        "injury_time": "Item 39",
        "injury_place": "Item 40: home, construction site, restaurant, wooded area",
        "injury_at_work": "Item 41",
        "injury_street": "Item 42, location of injury",
        "injury_how": "Item 43",
        "transport_role": "Item 44",
        "certifier_type": "Item 45",
        "certifier_license": "Item 48",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        # Radio buttons without the empty choice that a model field adds by itself.
        choice_field(self, "manner").choices = MANNERS
        for name in CHOSEN:
            choices = [one for one in choices_of(self, name) if one[0]]
            choice_field(self, name).choices = [
                ("", NOTHING_SAID.get(name, "not stated")),
                *choices,
            ]
        choice_field(self, "death_place_kind").choices = [
            ("", "not stated"),
            *PLACES_OF_DEATH,
        ]
        for name in ("death_on_is", "death_time_is"):
            choice_field(self, name).choices = [("", "not stated"), *ACTUAL_OR_PRESUMED]
        choice_field(self, "pregnancy").choices = [("", "not stated"), *PREGNANCY]
        self.fields["pregnancy"].help_text = PREGNANCY_AGES.say()
        if self.instance._state.adding:
            del self.fields["reason"]


class ParticularsForm(RecordForm, of=Particulars):
    """The items of the certificate that family, funeral home and registrar state."""

    wrong = staticmethod(rules.wrong_in_particulars)
    labels = {
        "home_state": "State",
        "home_county": "County",
        "home_city": "City or town",
        "home_street": "Street and number",
        "home_apartment": "Apartment",
        "home_zip": "ZIP code",
        "armed_forces": "Ever in US armed forces",
        "marital_status": "Marital status at time of death",
        "spouse": "Surviving spouse’s name",
        "father": "Father’s name",
        "mother": "Mother’s name before first marriage",
        "informant": "Informant’s name",
        "informant_relation": "Informant’s relationship",
        "informant_address": "Informant’s mailing address",
        "funeral_licensee": "Funeral service licensee",
        "funeral_license": "License number of the licensee",
        "pronouncer_license": "License number of the person who pronounced",
        "pronouncer_signed_on": "Signed by that person on",
        "filed_on": "Filed by the registrar on",
    }
    help_texts = {
        "home_state": "Item 7a",
        "home_county": "Item 7b",
        "home_city": "Item 7c",
        "home_street": "Item 7d",
        "home_apartment": "Item 7e",
        "home_zip": "Item 7f",
        "inside_city": "Item 7g",
        "armed_forces": "Item 8",
        "marital_status": "Item 9",
        "spouse": "Item 10; a wife’s name before first marriage",
        "father": "Item 11",
        "mother": "Item 12",
        "informant": "Item 13a",
        "informant_relation": "Item 13b",
        "informant_address": "Item 13c",
        "funeral_licensee": "Item 22",
        "funeral_license": "Item 23",
        "pronouncer_license": "Item 27",
        "pronouncer_signed_on": "Item 28",
        "filed_on": "Item 50",
        "education": "Item 51",
        "occupation": "Item 54",
        "industry": "Item 55",
    }


class FollowUpForm(RecordForm, of=FollowUp):
    """One thing that the certificate waits for; that it came is entered later."""

    wrong = staticmethod(rules.wrong_in_follow_up)
    help_texts = {
        "details": "Laboratory, agency or number: what to ask for.",
        "follow_up_on": "The day on which somebody asks again.",
        "came_on": "Ends the wait.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            del self.fields["came_on"]


class RegistrarForm(OfficeForm):
    """The certificate as it stands, stated to the registrar."""

    rows = {"reason": 2}
    certified_on = forms.DateField(label="Certified on", help_text="Item 49")
    reason = long_text(
        "Reason for the amendment", "Kept with the statement and printed on the worksheet."
    )

    def __init__(
        self, *args: Any, certification: Certification | None, amends: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["version"].initial = certification.version if certification else 0
        self.fields["certified_on"].initial = timezone.localdate()
        if not amends:
            del self.fields["reason"]

    def clean(self) -> dict[str, Any] | None:
        """Say beside the date what cannot be so."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, words in rules.wrong_in_statement(cleaned, timezone.localdate()).items():
            self.add_error(name, words)
        return cleaned
