"""What a person set aside: a missing picture that is not needed, a proposed series that is none."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import once_active


class SetAside(CaseRecord):
    """Something that the office points out, and that a person decided to leave as it is."""

    formerly = "lacking.SetAside"

    key = models.CharField(max_length=80, editable=False, help_text="What it is about")
    words = models.CharField(max_length=240, editable=False, help_text="As it was pointed out")
    why = models.TextField("reason", editable=False)

    class Meta(Record.Meta):
        db_table = "lacking_setaside"
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "set_aside_once_a_case", "case", "key", message="This is set aside already."
            )
        ]

    def __str__(self) -> str:
        return self.words
