"""When each part of the office was last alive, and since when a condition is as it is.

Overwritten as it goes, so no records of the office. All times are the database's. Kept for ever:
which backups were made and checked, and from which one the office was put up again.
"""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Now

from me_office.audit.ids import new_id
from me_office.upkeep.conditions import State
from me_office.worded import as_choices


class Heartbeat(models.Model):
    """When a part of the office last said that it lives."""

    name = models.CharField(max_length=60, primary_key=True)
    beat_at = models.DateTimeField(db_default=Now())

    def __str__(self) -> str:
        return f"{self.name} at {self.beat_at:%Y-%m-%d %H:%M:%S}"


class Standing(models.Model):
    """How a condition stood when it was last looked at, and since when it stands so."""

    name = models.CharField(max_length=60, primary_key=True)
    state = models.CharField(max_length=10, choices=as_choices(State))
    says = models.TextField(blank=True)
    to_do = models.TextField(blank=True)
    since = models.DateTimeField(db_default=Now())
    looked_at = models.DateTimeField(db_default=Now())
    looks = models.PositiveIntegerField(default=1, db_default=1, help_text="In this state")
    mailed_at = models.DateTimeField(null=True, help_text="When the alarm was last sent")

    def __str__(self) -> str:
        return f"{self.name}: {self.state}"


class Backup(models.Model):
    """A backup that was finished, and whether it was restored to try it."""

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    name = models.CharField(max_length=40)
    folder = models.CharField(max_length=400)
    taken_at = models.DateTimeField(help_text="The moment that it shows")
    finished_at = models.DateTimeField(auto_now_add=True)
    files = models.PositiveBigIntegerField()
    size_bytes = models.PositiveBigIntegerField()
    not_whole = models.PositiveIntegerField(help_text="Files that were missing or altered")
    checked_at = models.DateTimeField(null=True, help_text="When it was restored to try it")
    problems = models.PositiveIntegerField(default=0, help_text="What that found")

    class Meta:
        ordering = ["-taken_at", "id"]
        constraints = [models.UniqueConstraint(fields=["name"], name="backup_name_once")]

    def __str__(self) -> str:
        return f"Backup {self.name}"


class Restoration(models.Model):
    """The office was put up again from a backup: what was recorded after it is not here."""

    append_only = True
    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    backup = models.CharField(max_length=40)
    taken_at = models.DateTimeField(help_text="The moment that the backup shows")
    restored_at = models.DateTimeField(auto_now_add=True)
    not_whole = models.PositiveIntegerField(help_text="Files that the backup did not have")

    class Meta:
        ordering = ["-restored_at", "id"]

    def __str__(self) -> str:
        return f"Restored from {self.backup}"


class GivenOut(models.Model):
    """Everything was written into a folder, in open formats, or that was begun."""

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    folder = models.CharField(max_length=400)
    begun_at = models.DateTimeField(auto_now_add=True)
    finished_at = models.DateTimeField(null=True)
    cases = models.PositiveIntegerField(default=0)
    restricted = models.PositiveIntegerField(default=0, help_text="Of the cases")
    not_whole = models.PositiveIntegerField(default=0, help_text="Files missing or altered")

    class Meta:
        ordering = ["-begun_at", "id"]

    def __str__(self) -> str:
        return f"Given out into {self.folder}"
