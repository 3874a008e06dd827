"""Forms of rules of counting and closures, and what is to be counted."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.conf import settings

from cases.counting import queries, rules
from cases.counting.models import CountingRule, CourtClosure
from cases.forms.changed import ChangedForm
from findings.calculations.counting import Count, Direction, Period, Unit, zone_moment
from me_office.shell.forms import OfficeForm, choose_from
from me_office.worded import as_choices

NOT_SERVED = "nothing was served"


class RuleForm(ChangedForm, of=CountingRule):
    """A rule by which days are counted."""

    wrong = staticmethod(rules.wrong_in_rule)
    rows = {"ways": 6, "paragraphs": 7, "reason": 2}
    labels = {
        "source": "Where the rule stands",
        "court_days_below": "Short periods count court days alone, below",
        "weekend": "A period may not end on",
        "forward": "An end after the event that falls on such a day",
        "backward": "An end before the event that falls on such a day",
        "local_only_forward": "Holidays of the state count only for periods after an event",
        "ways": "What each way of service adds",
        "counts_hours": "The rule says how hours are counted",
    }
    units = {"court_days_below": "days"}
    help_texts = {
        "source": "Rule or statute, with its section and as of when.",
        "court_days_below": "0 where the rule has no such periods.",
        "ways": rules.WAY_WORDS,
        "paragraphs": rules.PARAGRAPH_WORDS + ". Each step names its own.",
        "approved_by": "Name and office of who read the rule as it stands here.",
    }


class ClosureForm(ChangedForm, of=CourtClosure):
    """Days on which a court does no business."""

    wrong = staticmethod(rules.wrong_in_closure)
    rows = {"reason": 2}
    buttons = ("kind",)
    labels = {"kind": "What it is"}
    help_texts = {
        "court": "As it is written in requests. Empty for every court.",
        "why": "As the steps of a count are to say it: closed for a storm.",
        "source": "The order, notice or page that says so, with its date.",
    }


class CountForm(OfficeForm):
    """What is to be counted. Nothing is kept of it."""

    units: dict[str, str] = {}
    rule = forms.ChoiceField(label="Rule")
    trigger = forms.DateField(label="Day of the event", help_text="Of service, of a hearing.")
    at = forms.TimeField(label="Hour of the event", required=False)
    amount = forms.DecimalField(label="Period", min_value=0, max_digits=6, decimal_places=1)
    unit = forms.ChoiceField(label="In", choices=as_choices(Unit), initial=Unit.DAYS.value)
    direction = forms.ChoiceField(
        label="Counted",
        choices=[(Direction.AFTER.value, "after the event"), (Direction.BEFORE.value, "before it")],
        initial=Direction.AFTER.value,
    )
    way = forms.ChoiceField(label="Way of service", required=False)
    court = forms.CharField(
        label="Court", required=False, max_length=160, help_text="For its closures."
    )
    needed = {"at": "required for hours"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = queries.rules()
        choose_from(self, "rule", [(one.key, one.ruleset.name) for one in known])
        ways = dict.fromkeys(one.way for rule in known for one in rule.ruleset.services)
        choose_from(self, "way", [("", NOT_SERVED), *((way, way) for way in ways)])

    @property
    def asked(self) -> queries.Asked:
        """What is to be counted; a period in hours begins at the hour of the event."""
        said = self.cleaned_data
        unit = Unit(said["unit"])
        trigger = said["trigger"]
        if unit is Unit.HOURS:
            trigger = zone_moment(datetime.combine(trigger, said["at"]), settings.OFFICE_ZONE)
        period = Period(float(said["amount"]), unit, Direction(said["direction"]))
        return queries.Asked(said["rule"], trigger, period, said["way"], said["court"].strip())

    def clean(self) -> dict[str, Any]:
        """Ask for the hour where hours are counted."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("unit") == Unit.HOURS.value and "trigger" in cleaned and "at" in cleaned:
            if cleaned["at"] is None:
                self.add_error("at", "Enter the hour of the event for a period in hours.")
            elif (
                zone_moment(
                    datetime.combine(cleaned["trigger"], cleaned["at"]), settings.OFFICE_ZONE
                )
                is None
            ):
                self.add_error("at", "The clocks skip this hour on that day.")
        return cleaned

    def refuse(self, found: Count) -> None:
        """Put what the rule does not answer beside its field."""
        name = {"calendar": "rule"}.get(found.field, found.field)
        self.add_error(name if name in self.fields else None, found.refused)
