"""Forms of a due day and of what changed a request's clock."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.clock.actions import CHANGE_FIELDS
from cases.clock.models import ClockChange, DueCount
from cases.counting import queries
from cases.court.models import RecordsRequest
from findings.calculations.counting import Unit
from findings.calculations.counting_rules import BY_HAND, ELECTRONIC, MAIL, OTHER_AGREED
from me_office.shell.forms import OfficeForm, RecordForm, choose_from, long_text
from me_office.worded import as_choices

# How a request says that it was served, as the rules that come along name the way.
WAYS = {"hand": BY_HAND, "mail": MAIL, "electronic": ELECTRONIC, "other": OTHER_AGREED}
NOT_SERVED = "nothing is added for service"


class CountDueForm(OfficeForm):
    """Counts a request's due day by a rule."""

    rule_key = forms.ChoiceField(label="Rule")
    trigger_on = forms.DateField(
        label="Counted from", help_text="The day of service, of an order, of a letter."
    )
    amount = forms.IntegerField(label="Period", min_value=1, max_value=3650)
    unit = forms.ChoiceField(
        label="In",
        choices=as_choices((Unit.DAYS, Unit.COURT_DAYS)),
        initial=Unit.DAYS.value,
    )
    way = forms.ChoiceField(label="Way of service", required=False)
    court = forms.CharField(
        label="Court", required=False, max_length=160, help_text="For its closures."
    )

    def __init__(self, *args: Any, asked: RecordsRequest, **kwargs: Any) -> None:
        initial = {
            "trigger_on": asked.served_on,
            "court": asked.court,
            "way": WAYS.get(asked.served_how, ""),
        }
        super().__init__(*args, initial=initial, **kwargs)
        known = queries.rules()
        choose_from(self, "rule_key", [(one.key, one.ruleset.name) for one in known])
        ways = dict.fromkeys(one.way for rule in known for one in rule.ruleset.services)
        choose_from(self, "way", [("", NOT_SERVED), *((way, way) for way in ways)])


class FixDueForm(OfficeForm):
    """Says which day the court fixed or the parties agreed."""

    rows = {"note": 2}
    buttons = ("basis",)
    basis = forms.ChoiceField(
        label="The day is",
        choices=[one for one in DueCount.BASES if one[0] != "counted"],
        widget=forms.RadioSelect,
    )
    end_on = forms.DateField(label="Due on")
    note = long_text("By what", "The order or letter, with its date.", max_length=1000)


class ClockChangeForm(RecordForm, of=ClockChange):
    """What came, and what it does to the clock."""

    rows = {"note": 3}
    buttons = ("kind", "effect")
    needed = {
        "new_due_on": "required where the day moves",
        "days_left": "in place of a new day",
    }
    labels = {
        "kind": "Type of paper",
        "on": "Dated or filed on",
        "effect": "What it does",
        "days_left": "Days left",
    }
    upload = forms.FileField(
        label="The paper as a file",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png"}),
        help_text="PDF, JPEG or PNG, at most 20 MB. Kept unchanged, with its SHA-256.",
    )
    help_texts = {
        "effect": "Whether a paper stops the clock is for counsel to say.",
        "days_left": "Counted on from the day above by the request’s rule, in days or court days.",
        "note": "Who sent it, what it asks or orders.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("kind", "effect"):
            self.fields[name].initial = None
            self.initial.setdefault(name, None)

    @property
    def said(self) -> dict[str, Any]:
        """What came and what it does, without the file."""
        return {name: self.cleaned_data.get(name) for name in CHANGE_FIELDS}

    @property
    def beside(self) -> dict[str, Any]:
        """The paper."""
        return {"upload": self.cleaned_data.get("upload")}
