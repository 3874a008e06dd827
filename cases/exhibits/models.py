"""Exhibit sets, their exhibits, and redacted copies of photographs."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Upper

from cases.court.models import RecordsRequest
from cases.models import CaseRecord
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.audit.models import Record, once_active
from me_office.jobs.models import JobRecord
from me_office.moments import clock_words


class ExhibitSet(CaseRecord):
    """Photographs in the order in which a court is shown them."""

    title = models.CharField(max_length=160, help_text="Trial, deposition, inquest")
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="exhibit_sets", null=True, blank=True
    )

    class Meta(Record.Meta):
        ordering = ["-created_at", "-id"]

    def __str__(self) -> str:
        return self.title


class Exhibit(CaseRecord):
    """A photograph under the number that the court gave it."""

    exhibit_set = models.ForeignKey(
        ExhibitSet, models.PROTECT, related_name="exhibits", editable=False
    )
    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="exhibits", editable=False
    )
    # Only the order of positions means something; there is room between them for one more.
    position = models.PositiveIntegerField(editable=False)
    number = models.CharField("exhibit number", max_length=24)
    caption = models.CharField(max_length=240)
    plain_words = models.TextField(blank=True, max_length=600)

    class Meta(Record.Meta):
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(
                Upper("number"),
                "exhibit_set",
                condition=models.Q(voided_at=None),
                name="exhibit_number_once_a_set",
                violation_error_message="This set has an exhibit of that number already.",
            ),
            once_active(
                "exhibit_set",
                "photograph",
                name="exhibit_photograph_once_a_set",
                message="This photograph is in the set already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Exhibit {self.number}"

    @property
    def redaction(self) -> Redaction | None:
        """The redacted copy that is shown in place of its photograph; None where none stands.

        Whoever reads exhibits prefetches the photographs' redactions.
        """
        standing = (one for one in self.photograph.redactions.all() if not one.is_voided)
        return next(standing, None)


class RedactionRequest(JobRecord, CaseRecord):
    """A redacted copy that somebody asked for; a worker makes it. The copy has this key."""

    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="redaction_requests", editable=False
    )
    regions = models.JSONField(
        editable=False, help_text="In points of the upright original, from its upper left"
    )
    why = models.TextField("reason", editable=False)
    replaces = models.PositiveIntegerField(
        default=0, editable=False, help_text="Version of the redaction that stood, 0 for none"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["state", "changed_at"], name="redaction_request_by_state")]

    def __str__(self) -> str:
        return f"Redacted copy of photograph {self.photograph.number}"


class Redaction(CaseRecord):
    """A copy of a photograph for release in which regions are covered or blurred for good."""

    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="redactions", editable=False
    )
    regions = models.JSONField(
        editable=False, help_text="In points of the upright original, from its upper left"
    )
    why = models.TextField("reason", editable=False)
    parent_sha256 = models.CharField("digest of the original", max_length=64, editable=False)
    operations = models.JSONField(editable=False, help_text="What was done, in order")
    software = models.CharField(max_length=200, editable=False)
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+", editable=False)
    screen_file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+", editable=False)

    class Meta(Record.Meta):
        ordering = ["-created_at", "-id"]
        constraints = [
            once_active(
                "photograph",
                name="redaction_stands_once",
                message="A redaction of this photograph stands already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Redaction of photograph {self.photograph.number}"


class CourtMark(CaseRecord):
    """What was drawn over an exhibit before a court, kept because somebody asked for it.

    It is no part of the photograph, and no packet holds it.
    """

    stays_inside = True
    MARKED_BY = [("witness", "the witness"), ("counsel", "counsel"), ("other", "somebody else")]

    exhibit = models.ForeignKey(Exhibit, models.PROTECT, related_name="court_marks", editable=False)
    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="court_marks", editable=False
    )
    redaction = models.ForeignKey(
        Redaction,
        models.PROTECT,
        related_name="court_marks",
        verbose_name="redacted copy that was shown",
        null=True,
        blank=True,
        editable=False,
    )
    strokes = models.JSONField(
        help_text="What was drawn, in shares of the upright picture from its upper left"
    )
    marked_at = models.DateTimeField("marked")
    marked_by = models.CharField("marked by", max_length=8, choices=MARKED_BY)

    class Meta(Record.Meta):
        ordering = ["marked_at", "id"]

    def __str__(self) -> str:
        at = clock_words(self.marked_at, "%H:%M")
        return f"Mark made in court by {self.get_marked_by_display()}, {at}"
