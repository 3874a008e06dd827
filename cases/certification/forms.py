"""The form for cause and manner."""

from __future__ import annotations

from django import forms

from cases.certification.actions import FIELDS
from cases.certification.cautions import PREGNANCY_AGES
from cases.certification.items import ACTUAL_OR_PRESUMED, PLACES_OF_DEATH, PREGNANCY
from cases.certification.models import Certification
from cases.certification.rules import MANNERS
from me_office.shell.forms import RecordForm, choice_field, choices_of

CHOSEN = (
    "autopsy", "autopsy_available", "tobacco", "injury_at_work", "transport_role",
)  # fmt: skip
NOTHING_SAID = {"transport_role": "not a transportation injury"}


class CertificationForm(RecordForm):
    """Part I from the immediate cause down to the underlying one, part II, manner, injury."""

    rows = {"contributing": 2, "basis": 4}
    labels = {
        "cause_a": "Immediate cause",
        "cause_b": "Due to, or as a consequence of",
        "cause_c": "Due to, or as a consequence of",
        "cause_d": "Due to, or as a consequence of",
        "interval_a": "Onset to death",
        "interval_b": "Onset to death",
        "interval_c": "Onset to death",
        "interval_d": "Onset to death",
        "contributing": "Other significant conditions",
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
        "injury_at_work": "Injury at work",
        "injury_street": "Street and number",
        "injury_city": "City or town",
        "injury_state": "State",
        "injury_zip": "ZIP code",
        "injury_how": "How the injury occurred",
        "transport_role": "Role, if a transportation injury",
        "transport_other": "Which other role",
    }
    reason = forms.CharField(
        required=False,
        label="Reason for the change",
        help_text="Required when a stated manner is changed.",
        widget=forms.Textarea,
    )

    class Meta:
        model = Certification
        fields = list(FIELDS)
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
