"""The base of requests that a worker makes, and how far each of them is."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Now

from me_office.audit.models import Record
from me_office.audit.tables import state_from
from me_office.jobs.rules import UNDER_WAY, JobState


class JobRecord(Record):
    """Something that a person asked for and a worker makes; what is made has the same key."""

    state = state_from(JobState.WAITING, 8)
    attempts = models.PositiveIntegerField(default=0, editable=False)
    failure = models.TextField(blank=True, editable=False)

    # Read with it by `jobs.queries.with_progress`.
    percent: int | None
    step: str | None

    class Meta(Record.Meta):
        abstract = True

    @property
    def is_under_way(self) -> bool:
        """Tell whether it is being made, or waits for its turn."""
        return self.state in UNDER_WAY


class JobProgress(models.Model):
    """How far something is that a worker makes; overwritten as it goes, so no record of the office.

    All its times are the database's.
    """

    key = models.UUIDField(primary_key=True, help_text="Of the request, or of what is worked on")
    percent = models.PositiveSmallIntegerField(default=0)
    step = models.CharField(max_length=120, blank=True)
    beat_at = models.DateTimeField(db_default=Now())
    sent_at = models.DateTimeField(null=True, help_text="When a worker was last asked")
    attempts = models.PositiveIntegerField(
        default=0, help_text="At what nobody asked for; a request counts its own"
    )

    def __str__(self) -> str:
        return f"{self.percent} % {self.step}"
