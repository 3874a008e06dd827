"""Checks of the store: each run, and each file that was found missing or altered."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from me_office.audit.ids import new_id
from me_office.audit.tables import must, points_to


class FixityRun(models.Model):
    """One reading of the whole store; its place is kept, so that it goes on where it stopped."""

    formerly = "evidence.FixityRun"

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    begun_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    # Which kind of files is being read ("": the first), the last row of it that was, by key; and
    # when all rows were read, the last folder of the store that was looked through.
    part = models.CharField(max_length=80, blank=True, default="", db_default="")
    after = models.UUIDField(null=True)
    place = models.CharField(max_length=200, blank=True, default="", db_default="")
    # Files that came later are the next run's.
    until = models.DateTimeField()
    files = models.PositiveBigIntegerField(default=0)
    size_bytes = models.PositiveBigIntegerField(default=0)
    problems = models.PositiveIntegerField(default=0)
    # Files that no row names and that are too young to tell: a job may be about to name them.
    unfinished = models.PositiveIntegerField(default=0, db_default=0)

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
    """A file that is missing, altered or cannot be read, or that no row of the database names."""

    formerly = "evidence.FixityProblem"

    KINDS = [("missing", "missing"), ("altered", "altered"), ("unreadable", "cannot be read"),
             ("unnamed", "in no record")]  # fmt: skip

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    file = models.ForeignKey(
        "evidence.StoredFile", models.PROTECT, related_name="fixity_problems", null=True,
        editable=False,
    )  # fmt: skip
    # What names the file: the model and the row's key; neither where nothing does.
    named_by = models.CharField(max_length=80, blank=True, db_default="", editable=False)
    row = models.UUIDField(null=True, editable=False)
    path = models.CharField(max_length=200, db_default="", editable=False)
    sha256 = models.CharField(max_length=64, blank=True, db_default="", editable=False)
    size_bytes = models.BigIntegerField(null=True, editable=False)
    run = points_to(FixityRun, "found")
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
            models.UniqueConstraint(
                fields=["path"],
                # Without a name: noted by the version before, while both are at work.
                condition=models.Q(resolved_at=None) & ~models.Q(path=""),
                name="fixity_open_problem_once_a_path",
            ),
            must(
                "fixity_resolved_with_a_reason",
                models.Q(resolved_at=None) | ~models.Q(resolution=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.path}"
