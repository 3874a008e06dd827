"""Short keys of a person and of the office, and words that the office spells as it does."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models.functions import Lower

from me_office.audit.models import Record


class ShortKey(Record):
    """A short key and the text that takes its place; without an owner it is the office's."""

    key = models.CharField("short key", max_length=24)
    text = models.TextField(max_length=2000)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        editable=False,
    )

    class Meta(Record.Meta):
        ordering = ["key", "id"]
        indexes = [
            models.Index(
                fields=["owner", "key", "id"],
                condition=models.Q(voided_at=None),
                name="short_key_by_owner",
            )
        ]
        constraints = [
            models.UniqueConstraint(
                "owner",
                "key",
                condition=models.Q(voided_at=None, owner__isnull=False),
                name="short_key_once_a_person",
                violation_error_message="You have this short key already.",
            ),
            models.UniqueConstraint(
                "key",
                condition=models.Q(voided_at=None, owner=None),
                name="short_key_once_in_the_office",
                violation_error_message="The office has this short key already.",
            ),
        ]

    def __str__(self) -> str:
        return f"/{self.key}"


class OfficeWord(Record):
    """A word that the office spells so, which the spelling questions then pass over."""

    word = models.CharField(max_length=60)

    class Meta(Record.Meta):
        ordering = ["word", "id"]
        constraints = [
            models.UniqueConstraint(
                Lower("word"),
                condition=models.Q(voided_at=None),
                name="office_word_once",
                violation_error_message="The office has this word already.",
            )
        ]

    def __str__(self) -> str:
        return self.word
