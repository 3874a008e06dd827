"""The office's own words, beside the curated vocabulary."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower

from findings.rules import FindingClass
from me_office.audit.models import Record


class OfficeTerm(Record):
    """A term that this office offers for a class of finding."""

    CLASSES = [(one.value, one.value) for one in FindingClass]

    klass = models.CharField("class", max_length=24, choices=CLASSES)
    term = models.CharField(max_length=80)

    class Meta(Record.Meta):
        ordering = ["klass", "term", "id"]
        constraints = [
            models.UniqueConstraint(
                Lower("term"),
                "klass",
                condition=models.Q(voided_at=None),
                name="office_term_once_a_class",
                violation_error_message="The office has this term already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.term}, {self.klass}"
