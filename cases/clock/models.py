"""Counts of a request's due day, and what changed its clock."""

from __future__ import annotations

from typing import Any

from django.db import models

from cases.clock.rules import Effect
from cases.court.models import RecordsRequest
from cases.models import CaseRecord
from evidence.models import StoredFile
from findings.calculations.counting import Unit
from me_office.audit.models import Record
from me_office.audit.tables import points_to
from me_office.worded import as_choices


class DueCount(CaseRecord):
    """How a request's due day came about: counted by a rule, fixed by the court, or agreed.

    The rule is kept as it was; the newest one that was not withdrawn holds.
    """

    # How the office reads its own due days is no part of what is released.
    stays_inside = True

    BASES = [
        ("counted", "counted by a rule"),
        ("fixed", "fixed by the court"),
        ("agreed", "agreed with the requesting party"),
    ]

    request = points_to(RecordsRequest, "due_counts")
    basis = models.CharField("due day is", max_length=8, choices=BASES)
    rule_key = models.CharField(max_length=36, blank=True)
    rule_name = models.CharField("rule", max_length=120, blank=True)
    rule_source = models.CharField("where the rule stands", max_length=240, blank=True)
    rule_as_it_was: models.JSONField[Any, Any] = models.JSONField(default=dict, blank=True)
    trigger_on = models.DateField("counted from", null=True, blank=True)
    amount = models.PositiveIntegerField("period", null=True, blank=True)
    unit = models.CharField(
        max_length=10,
        blank=True,
        choices=as_choices((Unit.DAYS, Unit.COURT_DAYS)),
    )
    way = models.CharField("way of service", max_length=60, blank=True)
    court = models.CharField("court for its closures", max_length=160, blank=True)
    end_on = models.DateField("due day")
    steps: models.JSONField[Any, Any] = models.JSONField(default=list, blank=True)
    warnings: models.JSONField[Any, Any] = models.JSONField(default=list, blank=True)
    note = models.TextField("by what", max_length=1000, blank=True)

    class Meta(Record.Meta):
        verbose_name = "count of a due day"
        verbose_name_plural = "counts of due days"
        ordering = ["-created_at", "-id"]
        indexes = [models.Index(fields=["request", "-created_at", "-id"], name="due_count_latest")]

    def __str__(self) -> str:
        return f"{self.get_basis_display()}: {self.end_on:%Y-%m-%d}"


class ClockChange(CaseRecord):
    """What stopped, moved or started the clock of a request; its document as a file."""

    stays_inside = True

    KINDS = [
        ("objection", "objection"),
        ("extension", "extension"),
        ("quash", "motion to quash"),
        ("protective", "protective order"),
        ("order", "order of the court"),
        ("notice", "notice or letter"),
    ]
    EFFECTS = [
        (Effect.NONE.value, "changes nothing yet"),
        (Effect.MOVES.value, "moves the due day"),
        (Effect.STOPS.value, "stops the clock"),
        (Effect.RUNS.value, "lets it run again"),
    ]

    request = points_to(RecordsRequest, "clock_changes")
    kind = models.CharField("what came", max_length=12, choices=KINDS)
    on = models.DateField("on")
    effect = models.CharField(max_length=8, choices=EFFECTS)
    new_due_on = models.DateField("new due day", null=True, blank=True)
    days_left = models.PositiveIntegerField("days that are left", null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    due_before = models.DateField(editable=False)
    stopped_before = models.DateField(null=True, editable=False)
    basis_before = models.CharField(max_length=8, editable=False)
    due_after = models.DateField(editable=False)
    stopped_after = models.DateField(null=True, editable=False)
    file = models.ForeignKey(
        StoredFile, models.PROTECT, related_name="+", null=True, editable=False
    )
    file_name = models.CharField(max_length=200, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["on", "created_at", "id"]
        indexes = [models.Index(fields=["request", "on", "id"], name="clock_change_by_day")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.on:%Y-%m-%d}"
