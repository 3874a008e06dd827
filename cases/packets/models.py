"""Release packets and their making."""

from __future__ import annotations

from uuid import UUID

from django.db import models

from cases.court.models import RecordsRequest, Release
from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import JobState


def built_is_whole(name: str) -> models.CheckConstraint:
    """Return the constraint that what was built says when, and names its whole file."""
    return must(
        name,
        ~models.Q(state=JobState.MADE.value)
        | (
            models.Q(built_at__isnull=False, size_bytes__isnull=False)
            & ~models.Q(sha256="")
            & ~models.Q(path="")
        ),
    )


class BuiltFile(JobRecord, CaseRecord):
    """A file that a worker builds to leave the office. Its bytes never change once built."""

    file_kept_at = "built_at"
    request_id: UUID

    number = models.PositiveIntegerField(editable=False)
    built_at = models.DateTimeField(null=True, blank=True, editable=False)
    path = models.CharField(max_length=200, blank=True, editable=False)
    sha256 = models.CharField(max_length=64, blank=True, editable=False)
    size_bytes = models.BigIntegerField(null=True, blank=True, editable=False)
    pages = models.PositiveIntegerField(null=True, blank=True, editable=False)
    photographs = models.PositiveIntegerField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        abstract = True

    @property
    def is_built(self) -> bool:
        """Tell whether it is whole and in the store."""
        return self.state == JobState.MADE


class Packet(BuiltFile):
    """A BagIt ZIP of the case file for one request."""

    request = points_to(RecordsRequest, "packets")
    with_photographs = models.BooleanField(default=True)
    with_history = models.BooleanField(default=True)
    camera_notes = models.BooleanField(
        default=True, help_text="Originals, unchanged; else copies without the camera's notes"
    )
    originals = models.JSONField(
        default=list,
        blank=True,
        help_text="Photographs that go out as originals although a redacted copy stands",
    )
    curricula = models.JSONField(
        "curricula vitae",
        default=list,
        db_default=models.Value([], models.JSONField()),
        blank=True,
        help_text="Issued curricula vitae that go out with it",
    )
    originals_why = models.TextField("reason for the originals", blank=True)
    holds = models.JSONField(
        null=True, editable=False, help_text="What decides about what it holds, as it was built"
    )
    redacted = models.PositiveIntegerField(null=True, blank=True, editable=False)

    # Read with it by `cases.packets.queries`: what changed since it was built.
    release: Release | None
    changed: list[str]
    curricula_words: str

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="packet_number_once"),
            built_is_whole("packet_built_is_whole"),
        ]
        indexes = [models.Index(fields=["state", "changed_at"], name="packet_by_state")]

    def __str__(self) -> str:
        return f"Packet {self.number}"
