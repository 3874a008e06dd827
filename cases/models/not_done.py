"""What was not done in a case, as a fact with its reason."""

from __future__ import annotations

from django.db import models

from cases.models.case import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import once_active


class NotDone(CaseRecord):
    """There was no scene visit, or the body was not received here: so it is no gap."""

    SCENE, BODY = "scene", "body"
    KINDS = [(SCENE, "no scene visit"), (BODY, "body not received here")]

    kind = models.CharField(max_length=10, choices=KINDS, editable=False)
    why = models.TextField("reason")

    class Meta(Record.Meta):
        constraints = [
            once_active("not_done_once_a_kind", "case", "kind", message="This is stated already.")
        ]

    def __str__(self) -> str:
        return str(self.get_kind_display()).capitalize()
