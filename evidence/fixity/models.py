"""Checks of the store: each run, and each file that was found missing or altered."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from me_office.audit.ids import new_id


class FixityRun(models.Model):
    """One reading of the whole store; its place is kept, so that it goes on where it stopped."""

    formerly = "evidence.FixityRun"

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    begun_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    # The last file that was checked: files are read by key.
    after = models.UUIDField(null=True)
    # Files that came later are the next run's.
    until = models.DateTimeField()
    files = models.PositiveBigIntegerField(default=0)
    size_bytes = models.PositiveBigIntegerField(default=0)
    problems = models.PositiveIntegerField(default=0)

    class Meta:
        db_table = "evidence_fixityrun"
        ordering = ["-begun_at", "id"]
        constraints = [
            models.UniqueConstraint(
                models.Value(1),
                condition=models.Q(finished_at=None),
                name="fixity_one_run_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.files} files checked"


class FixityProblem(models.Model):
    """A stored file that is missing, no longer has its digest, or cannot be read."""

    formerly = "evidence.FixityProblem"

    KINDS = [("missing", "missing"), ("altered", "altered"), ("unreadable", "cannot be read")]

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    file = models.ForeignKey(
        "evidence.StoredFile", models.PROTECT, related_name="fixity_problems", editable=False
    )
    run = models.ForeignKey(FixityRun, models.PROTECT, related_name="found", editable=False)
    kind = models.CharField(max_length=10, choices=KINDS)
    found_sha256 = models.CharField(max_length=64, blank=True)
    found_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    whole_again_at = models.DateTimeField(null=True, help_text="When it was read and was whole")
    resolved_at = models.DateTimeField(null=True)
    resolved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True
    )
    resolution = models.TextField(blank=True, max_length=500)

    class Meta:
        db_table = "evidence_fixityproblem"
        ordering = ["found_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["file"],
                condition=models.Q(resolved_at=None),
                name="fixity_open_problem_once_a_file",
            ),
            models.CheckConstraint(
                condition=models.Q(resolved_at=None) | ~models.Q(resolution=""),
                name="fixity_resolved_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.file}"
