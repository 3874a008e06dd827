"""Grounds for keeping something back, decisions on items, and their approval."""

from __future__ import annotations

from django.db import models

from cases.court.models import Demand, RecordsRequest
from cases.decisions.rules import OUTCOME_WORDS, Outcome
from cases.models import CaseRecord
from me_office.audit.models import Record, once_active

OUTCOMES = [(one.value, OUTCOME_WORDS[one]) for one in Outcome]


class Ground(Record):
    """A ground of the office's list for keeping something back. Replaced, never changed."""

    number = models.PositiveIntegerField(editable=False)
    words = models.CharField("in short", max_length=160)
    citation = models.CharField("law or order", max_length=240)
    approved_by = models.CharField("approved by counsel", max_length=160, blank=True)
    approved_on = models.DateField(null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["number", "created_at", "id"]
        constraints = [
            once_active(
                "number", name="ground_number_once", message="The list has this number already."
            )
        ]

    def __str__(self) -> str:
        return f"{self.number}. {self.words}"


class ItemDecision(CaseRecord):
    """What becomes of one item that a demand reaches. The case is the item's own.

    Never changed: another decision on the same item takes its place.
    """

    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="decisions", editable=False
    )
    demand = models.ForeignKey(Demand, models.PROTECT, related_name="decisions", editable=False)
    # Which record: its kind (`cases.decisions.rules.ItemKind`) and key, and where it has one the
    # digest of what was decided about, so that a later change of it is noticed.
    kind = models.CharField(max_length=24, editable=False)
    item = models.CharField(max_length=80, editable=False)
    digest = models.CharField(max_length=64, blank=True, editable=False)
    label = models.CharField("item", max_length=240, editable=False)
    outcome = models.CharField(max_length=12, choices=OUTCOMES)
    ground = models.ForeignKey(
        Ground, models.PROTECT, related_name="decisions", null=True, blank=True
    )
    held_by = models.CharField("who has it", max_length=240, blank=True)
    note = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "demand",
                "kind",
                "item",
                name="item_decided_once",
                message="This item was decided meanwhile.",
            ),
            models.CheckConstraint(
                condition=~models.Q(outcome__in=["redact", "withhold"])
                | models.Q(ground__isnull=False),
                name="kept_back_on_a_ground",
                violation_error_message="Name the ground on which it is kept back.",
            ),
            models.CheckConstraint(
                condition=~models.Q(outcome="not ours") | ~models.Q(held_by=""),
                name="not_ours_says_whose",
                violation_error_message="Say who has it.",
            ),
        ]
        indexes = [
            models.Index(
                fields=["request", "kind", "item"],
                condition=models.Q(voided_at=None),
                name="decision_of_request",
            )
        ]

    def __str__(self) -> str:
        return f"{self.label}: {self.get_outcome_display()}"


class Approval(CaseRecord):
    """A second person approved what goes out, as it was decided then. The case is the request's."""

    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="approvals", editable=False
    )
    digest = models.CharField(
        "digest of the decisions", max_length=64, editable=False, help_text="SHA-256"
    )
    items = models.PositiveIntegerField(editable=False)
    note = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "request",
                name="one_approval_of_a_request",
                message="What goes out was approved meanwhile.",
            )
        ]

    def __str__(self) -> str:
        return f"Approval of {self.items} decisions"
