"""The office's own words, beside the curated vocabulary."""

from __future__ import annotations

from datetime import datetime

from django.db import models
from django.db.models.functions import Lower

from findings.prose.house import Phrasing
from findings.rules import FindingClass
from me_office.audit.models import Record
from me_office.audit.tables import once_active
from me_office.worded import as_choices


class OfficeTerm(Record):
    """A term that this office offers for a class of finding."""

    CLASSES = as_choices(FindingClass)

    klass = models.CharField("class", max_length=24, choices=CLASSES)
    term = models.CharField(max_length=80)

    class Meta(Record.Meta):
        ordering = ["klass", "term", "id"]
        constraints = [
            once_active(
                "office_term_once_a_class",
                Lower("term"),
                "klass",
                message="The office has this term already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.term}, {self.klass}"


class OfficeWording(Record):
    """How the office says something in its reports. Never changed: another one takes its place.

    So it can be told how the office said it at any moment, as for a draft that is being reviewed.
    """

    key = models.CharField(max_length=120, editable=False, help_text="See findings.prose.house")
    words = models.CharField("own wording", max_length=200)

    class Meta(Record.Meta):
        ordering = ["key", "created_at", "id"]
        constraints = [
            models.UniqueConstraint(
                "key",
                condition=models.Q(voided_at=None),
                name="office_wording_once_a_key",
                violation_error_message="The office has its own wording for this already.",
            )
        ]

    def __str__(self) -> str:
        return self.words

    @classmethod
    def phrasing(cls, at: datetime | None = None) -> Phrasing:
        """Return how the office words its reports, now or as it did at a moment; one statement."""
        rows = cls.objects.filter(voided_at=None)
        if at is not None:
            stood = models.Q(voided_at=None) | models.Q(voided_at__gt=at)
            rows = cls.objects.filter(stood, created_at__lte=at)
        return Phrasing(dict(rows.order_by("created_at").values_list("key", "words")))
