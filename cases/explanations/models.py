"""The office's own words for a standing explanation."""

from __future__ import annotations

from django.db import models

from me_office.audit.models import Record
from me_office.audit.tables import once_active


class Explanation(Record):
    """What this office says in place of the text that comes with the software."""

    key = models.SlugField("explanation", max_length=40, editable=False)
    question = models.CharField(max_length=160)
    words = models.TextField("answer", max_length=1200)
    source = models.CharField(
        max_length=240, help_text="A publication, the office's own rule, or common practice"
    )

    class Meta(Record.Meta):
        ordering = ["key", "id"]
        constraints = [
            once_active(
                "explanation_once_a_key",
                "key",
                message="The office has its own words for this already.",
            )
        ]

    def __str__(self) -> str:
        return self.question
