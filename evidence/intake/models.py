"""Files that are on their way in: what has come so far, and what became of it."""

from __future__ import annotations

from django.db import models

from cases.models import Case
from me_office.audit.tables import must, staff_chosen


class PhotographUpload(models.Model):
    """One file that is being sent in pieces; its key becomes the key of the photograph.

    Not a record of the case: it says how far the sending has come. The photograph's own record
    is made in the last step, and only that one counts.
    """

    formerly = "evidence.PhotographUpload"

    STATES = [
        ("receiving", "being received"),
        ("complete", "received, not yet taken in"),
        ("taken in", "taken in"),
        ("refused", "refused"),
        ("withdrawn", "withdrawn"),
        ("expired", "expired"),
    ]

    id = models.UUIDField(primary_key=True, editable=False)
    case = models.ForeignKey(Case, models.PROTECT, related_name="+")
    by = staff_chosen()
    name = models.CharField(max_length=255)
    size_bytes = models.BigIntegerField()
    stated_sha256 = models.CharField(max_length=64, blank=True)
    entry = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=STATES, default="receiving")
    received_bytes = models.BigIntegerField(default=0)
    # [length, SHA-256, claim] of each run of bytes, the digest computed while they came; the
    # claim names the connection that wrote it, into a file of its own.
    pieces = models.JSONField(default=list)
    # Who writes just now: a connection that came back takes the file over from the lost one.
    claim = models.UUIDField(null=True)
    refusal = models.CharField(max_length=500, blank=True)
    photograph = models.ForeignKey(
        "evidence.Photograph", models.PROTECT, related_name="+", null=True, blank=True
    )
    begun_at = models.DateTimeField(auto_now_add=True)
    heard_at = models.DateTimeField()

    class Meta:
        db_table = "evidence_photographupload"
        ordering = ["begun_at", "id"]
        constraints = [
            must(
                "upload_within_its_size",
                models.Q(received_bytes__gte=0)
                & models.Q(received_bytes__lte=models.F("size_bytes")),
            ),
        ]
        indexes = [
            models.Index(
                fields=["heard_at"],
                condition=models.Q(state__in=["receiving", "complete"]),
                name="upload_unfinished",
            ),
            models.Index(fields=["case", "by", "begun_at"], name="upload_by_case"),
        ]

    def __str__(self) -> str:
        return f"{self.received_bytes} of {self.size_bytes} bytes"

    @property
    def is_open(self) -> bool:
        """Tell whether bytes may still come."""
        return self.state == "receiving"
