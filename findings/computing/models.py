"""The table of kept calculations."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_who


class Calculation(CaseRecord):
    """What a published method gave for the inputs of one moment.

    Never changed after it is made (a trigger holds to that); another computation is another
    record. It stands beside the observations it was made from and never replaces them.
    """

    method = models.CharField(max_length=40, editable=False)
    method_version = models.CharField(max_length=20, editable=False)
    inputs = models.JSONField(editable=False)
    taken_from = models.JSONField(
        default=dict, blank=True, editable=False, help_text="Input and its place in the case file"
    )
    measured_at = models.DateTimeField(
        null=True, blank=True, help_text="The moment from which hours are counted back"
    )
    result = models.JSONField(editable=False)
    refused = models.BooleanField(editable=False)
    note = models.TextField(help_text="Why it was made, what it is for")
    made_at = models.DateTimeField(editable=False)
    made_by = staff_who()

    class Meta(Record.Meta):
        ordering = ["-made_at", "-id"]
        constraints = [must("calculation_says_why", ~models.Q(note=""), "Say what it is for.")]
        indexes = [models.Index(fields=["case", "method", "-made_at"], name="calculation_by_case")]

    def __str__(self) -> str:
        return f"{self.method} {self.method_version}"
