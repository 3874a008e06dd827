"""What is kept and handed on, of whatever kind."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import staff_if_any


class Item(CaseRecord):
    """Anything that is kept and handed on; its number is unique within the case."""

    KINDS = [
        ("photograph", "photograph"),
        ("specimen", "specimen"),
        ("kit", "kit or tray"),
        ("evidence", "evidence"),
        ("property", "personal effects"),
    ]

    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=12, choices=KINDS, editable=False)
    title = models.CharField(max_length=160)
    container = models.ForeignKey(
        "self", models.PROTECT, related_name="parts", null=True, blank=True, editable=False
    )
    # Of a part that was recorded in the wrong kit: in which, until when, and why it was corrected.
    kit_correction = models.TextField(blank=True, editable=False)
    collected_at = models.DateTimeField(null=True, blank=True)
    collected_by = staff_if_any()

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="item_number_once"),
        ]

    def __str__(self) -> str:
        return f"Item {self.number}, {self.title}"
