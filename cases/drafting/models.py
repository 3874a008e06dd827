"""Short keys of a person and of the office, and words that the office spells as it does."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower

from me_office.audit.models import Record
from me_office.audit.tables import of_active, once_active, staff_later


class ShortKey(Record):
    """A short key and the text that takes its place; without an owner it is the office's."""

    key = models.CharField("short key", max_length=24)
    text = models.TextField(max_length=2000)
    owner = staff_later()

    class Meta(Record.Meta):
        ordering = ["key", "id"]
        indexes = [of_active("short_key_by_owner", "owner", "key", "id")]
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
            once_active(
                "office_word_once", Lower("word"), message="The office has this word already."
            )
        ]

    def __str__(self) -> str:
        return self.word
