"""What lies beneath a finding, layer by layer, and what the finding may mean."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from findings.models.examination import Finding
from findings.rules import Strength
from findings.words.layers import LAYER_WORDS, Layer
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to
from me_office.worded import as_choices


class LayerFinding(CaseRecord):
    """One layer under a finding: examined or not, and what was found. Nothing is assumed."""

    finding = points_to(Finding, "layers")
    layer = models.CharField(
        max_length=20, choices=[(one.value, LAYER_WORDS[one]) for one in Layer]
    )
    examined = models.BooleanField()
    found = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "layer_once_a_finding", "finding", "layer", message="This layer is already there."
            ),
            must(
                "layer_examined_says_what",
                models.Q(examined=False) | ~models.Q(found=""),
                "Say what was found, also when it is nothing: no hemorrhage.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_layer_display()} of {self.finding}"


class Interpretation(CaseRecord):
    """What a finding may mean; kept apart from what was seen."""

    finding = points_to(Finding, "interpretations")
    statement = models.CharField(max_length=240, help_text="A fall against an edge")
    standing = models.CharField(max_length=16, choices=as_choices(Strength))
    ground = models.TextField(blank=True)
    confidence = models.CharField(
        max_length=120, blank=True, help_text="In plain words: confident, probable, possible"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"{self.standing} {self.statement}"
