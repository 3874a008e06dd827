"""The base of requests that a worker makes, and how far each of them is."""

from __future__ import annotations

from django.db import models

from me_office.audit.models import Record
from me_office.jobs.rules import UNDER_WAY, JobState


class JobRecord(Record):
    """Something that a person asked for and a worker makes; what is made has the same key."""

    state = models.CharField(
        max_length=8,
        choices=[(state.value, state.value) for state in JobState],
        default=JobState.WAITING.value,
        editable=False,
    )
    attempts = models.PositiveIntegerField(default=0, editable=False)
    failure = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        abstract = True

    @property
    def is_under_way(self) -> bool:
        """Tell whether it is being made, or waits for its turn."""
        return self.state in UNDER_WAY


class JobProgress(models.Model):
    """How far a request is; overwritten as it goes, so no record of the office."""

    key = models.UUIDField(primary_key=True, help_text="Of the request")
    percent = models.PositiveSmallIntegerField(default=0)
    step = models.CharField(max_length=120, blank=True)
    beat_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.percent} % {self.step}"
