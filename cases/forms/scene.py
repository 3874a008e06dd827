"""The scene, and what is listed with it."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.actions.scene import READING_UNITS
from cases.forms import offer
from cases.models import Identification, Medication, Person, Place, Scene, SceneReading
from cases.queries.people import staff_holding
from cases.rules.decedent import VISUAL_HELP
from cases.rules.scene import PROBE
from me_office.accounts.roles import Role
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, choices_of, long_text
from me_office.shell.measures import as_entered, measure_fields


class SceneForm(RecordForm, of=Scene):
    """What the investigator saw where the body was found."""

    asks = [
        "arrived_at", "left_at", "agencies", "hazards",
        "address", "latitude", "longitude", "environment",
        "position", "position_words", "moved_before",
        "lividity_where", "lividity_spared", "lividity_colour", "lividity_blanching",
        "lividity_seen_at", "rigor", "rigor_where", "rigor_seen_at",
        "clothing", "body_marks", "narrative",
    ]  # fmt: skip
    widgets = {"lividity_blanching": forms.RadioSelect, "rigor": forms.RadioSelect}

    rows = {"narrative": 6, "environment": 4}
    labels = {
        "arrived_at": "Arrived",
        "left_at": "Left",
        "agencies": "Others at the scene",
        "address": "Address or place",
        "environment": "Surroundings as found",
        "position": "Position as found",
        "position_words": "Position in words",
        "moved_before": "Moved before you arrived",
        "lividity_where": "Where it is",
        "lividity_spared": "Spared where pressed",
        "lividity_colour": "Color",
        "lividity_blanching": "When you pressed",
        "lividity_seen_at": "Seen at",
        "rigor": "Stage",
        "rigor_where": "Where",
        "rigor_seen_at": "Felt at",
        "clothing": "Clothing as found, and its condition",
        "body_marks": "Marks on the body",
    }


class ReadingForm(RecordForm, of=SceneReading):
    """One temperature."""

    asks = ["kind", "value_c", "read_at", "method"]

    buttons = ("kind",)
    labels = {
        "kind": "What was measured",
        "value_c": "Temperature",
        "method": "Read with",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        measure_fields(self, READING_UNITS)
        self.fields["kind"].help_text = PROBE.say()

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes, with the temperature as it was read."""
        return as_entered(super().entry, READING_UNITS)


class PlaceForm(RecordForm, of=Place):
    """Another place, or another position of the body."""

    buttons = ("kind",)
    rows = {"position_words": 2, "seen": 4}
    labels = {
        "address": "Address or place",
        "from_at": "The decedent was there from",
        "to_at": "Until",
        "told_by": "Seen or reported by",
        "visited_at": "Visited by the office at",
        "position": "Position of the body there",
        "position_words": "Position in words",
        "lividity_where": "Lividity seen there",
        "agencies": "Others there",
        "seen": "What was seen there",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = self.instance.kind
        choice_field(self, "kind").choices = [
            (value, words)
            for value, words in choices_of(self, "kind")
            if value == kept or value not in Place.NO_LONGER_OFFERED
        ]


class MedicationForm(RecordForm, of=Medication):
    """A medicine or drug found."""

    asks = [
        "name", "strength", "directions", "prescribed_to", "prescriber", "dispensed_on",
        "quantity_dispensed", "quantity_found", "where_found",
    ]  # fmt: skip

    labels = {
        "name": "Name on the label",
        "directions": "Directions on the label",
        "quantity_dispensed": "Number dispensed",
        "quantity_found": "Number found",
        "where_found": "Where it was found",
    }


class PersonForm(RecordForm, of=Person):
    """Somebody connected with the death."""

    buttons = ("part",)
    rows = {"statement": 5}
    labels = {
        "part": "Role in the case",
        "relation": "Relation to the decedent",
        "phone": "Telephone",
        "statement": "What they said, in their words where you can",
        "notified_at": "Notified of the death at",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        notifiers = staff_holding(Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR)
        offer(self, "notified_by", notifiers, nobody="you, if a time is given")
        self.fields["notified_at"].help_text = "For next of kin. Leave empty until notified."


class IdentificationForm(RecordForm, of=Identification):
    """One step in establishing who died."""

    buttons = ("identity",)
    labels = {
        "identity": "Resulting identity",
        "made_by": "Identified by",
        "relation": "Relation to the decedent",
        "made_at": "Identified at",
        "basis": "Basis of the identification",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["method"].help_text = VISUAL_HELP.say()


class VoidForm(OfficeForm):
    """Why a record is withdrawn."""

    reason = long_text("Why", "Kept permanently with the record.")
    rows = {"reason": 2}
