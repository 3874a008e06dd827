"""Stored files: bytes by digest."""

from __future__ import annotations

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

    def __str__(self) -> str:
        return self.sha256
