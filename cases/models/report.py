"""The report of death and the decision on jurisdiction."""

from __future__ import annotations

from django.db import models

from cases.models.case import Case, CaseRecord
from cases.rules.case import Certainty
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_chosen
from me_office.worded import as_choices

CERTAINTIES = as_choices(Certainty)


class ReportOfDeath(Record):
    """The first call: who called, when, where, and what was said."""

    case = models.OneToOneField(
        Case, models.PROTECT, related_name="report_of_death", editable=False
    )
    called_at = models.DateTimeField()
    caller_name = models.CharField(max_length=120)
    caller_role = models.CharField(max_length=120, blank=True, help_text="Deputy, nurse, neighbor")
    caller_agency = models.CharField(max_length=120, blank=True)
    caller_phone = models.CharField(max_length=40, blank=True)
    agency_number = models.CharField(max_length=60, blank=True)
    place_found = models.CharField(max_length=240)
    place_kind = models.CharField(max_length=80, blank=True, help_text="Home, road, hospital")
    circumstances = models.TextField()
    last_alive_certainty = models.CharField(
        max_length=10, choices=CERTAINTIES, default=Certainty.UNKNOWN.value
    )
    last_alive_at = models.DateTimeField(null=True, blank=True)
    last_alive_until = models.DateTimeField(null=True, blank=True)
    last_alive_by = models.CharField(max_length=160, blank=True, help_text="Who saw or heard them")
    found_certainty = models.CharField(
        max_length=10, choices=CERTAINTIES, default=Certainty.UNKNOWN.value
    )
    found_at = models.DateTimeField(null=True, blank=True)
    found_until = models.DateTimeField(null=True, blank=True)
    found_by = models.CharField(max_length=160, blank=True)
    pronounced_by = models.CharField(max_length=160, blank=True)
    pronounced_at = models.DateTimeField(null=True, blank=True)

    class Meta(Record.Meta):
        constraints = [
            must(
                "report_last_alive_in_order",
                models.Q(last_alive_until=None)
                | models.Q(last_alive_until__gt=models.F("last_alive_at")),
                "The second time must be after the first.",
            ),
            must(
                "report_found_in_order",
                models.Q(found_until=None) | models.Q(found_until__gt=models.F("found_at")),
                "The second time must be after the first.",
            ),
        ]

    def __str__(self) -> str:
        return f"Report of death, {self.place_found}"


class JurisdictionDecision(CaseRecord):
    """Jurisdiction accepted or declined, with the reason. A later decision adds a row."""

    OUTCOMES = [("accepted", "accepted"), ("declined", "declined")]

    outcome = models.CharField(max_length=10, choices=OUTCOMES)
    ground = models.CharField(
        max_length=160, blank=True, help_text="Class of death or section of law"
    )
    why = models.TextField()
    decided_at = models.DateTimeField()
    decided_by = staff_chosen()

    class Meta(Record.Meta):
        ordering = ["decided_at", "id"]
        indexes = [models.Index(fields=["case", "decided_at"], name="jurisdiction_by_case")]

    def __str__(self) -> str:
        return f"Jurisdiction {self.outcome}"
