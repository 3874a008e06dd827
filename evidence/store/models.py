"""Stored files: bytes by digest; and which office this is."""

from __future__ import annotations

from uuid import uuid4

from django.core.validators import RegexValidator
from django.db import models

from me_office.audit.ids import new_id


class StoredFile(models.Model):
    """Bytes in the store, kept once by digest and never changed."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    sha256 = models.CharField(
        max_length=64, unique=True, validators=[RegexValidator(r"^[0-9a-f]{64}$")]
    )
    size_bytes = models.BigIntegerField()
    media_type = models.CharField(max_length=80)
    path = models.CharField(max_length=200, unique=True)
    stored_at = models.DateTimeField(auto_now_add=True)

    watched = True
    kept_for_ever = True
    file_kept_at = "stored_at"

    def __str__(self) -> str:
        return self.sha256


class OfficeIdentity(models.Model):
    """Which office this database is: one row, made with the tables, that comes along in a backup.

    The store carries the same id (`evidence.store.marking`).
    """

    append_only = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(models.Value(1), name="office_identity_once"),
        ]

    def __str__(self) -> str:
        return str(self.pk)
