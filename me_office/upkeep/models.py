"""When each part of the office was last alive, and since when a condition is as it is.

Overwritten as it goes, so no records of the office. All times are the database's.
"""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Now

from me_office.upkeep.conditions import State


class Heartbeat(models.Model):
    """When a part of the office last said that it lives."""

    name = models.CharField(max_length=60, primary_key=True)
    beat_at = models.DateTimeField(db_default=Now())

    def __str__(self) -> str:
        return f"{self.name} at {self.beat_at:%Y-%m-%d %H:%M:%S}"


class Standing(models.Model):
    """How a condition stood when it was last looked at, and since when it stands so."""

    name = models.CharField(max_length=60, primary_key=True)
    state = models.CharField(max_length=10, choices=[(one.value, one.value) for one in State])
    says = models.TextField(blank=True)
    to_do = models.TextField(blank=True)
    since = models.DateTimeField(db_default=Now())
    looked_at = models.DateTimeField(db_default=Now())
    looks = models.PositiveIntegerField(default=1, db_default=1, help_text="In this state")
    mailed_at = models.DateTimeField(null=True, help_text="When the alarm was last sent")

    def __str__(self) -> str:
        return f"{self.name}: {self.state}"
