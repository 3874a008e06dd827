"""Questions that the office expects in court, and how a witness's answers came in rehearsal."""

from __future__ import annotations

from django.db import models

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import CaseRecord
from cases.rehearsal.rules import OUTCOMES
from me_office.audit.models import Record
from me_office.audit.tables import points_to


class OwnQuestion(CaseRecord):
    """A question that somebody here expects, with the answer that is prepared for it.

    Without an exhibit it is asked on the set as a whole.
    """

    work_notes = True

    exhibit_set = points_to(ExhibitSet, "own_questions")
    exhibit = models.ForeignKey(
        Exhibit, models.PROTECT, related_name="own_questions", editable=False, null=True
    )
    question = models.CharField(max_length=300)
    answer = models.TextField(max_length=2000)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["exhibit_set", "exhibit"], name="own_question_by_exhibit")]

    def __str__(self) -> str:
        return self.question


class RehearsalMark(CaseRecord):
    """How an answer came, as the witness said it of themselves; the last one of each applies."""

    work_notes = True

    exhibit_set = points_to(ExhibitSet, "rehearsal_marks")
    exhibit = models.ForeignKey(
        Exhibit, models.PROTECT, related_name="rehearsal_marks", editable=False, null=True
    )
    question = models.CharField(max_length=120, editable=False, help_text="The question's key")
    outcome = models.CharField(max_length=10, choices=OUTCOMES)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [
            models.Index(fields=["exhibit_set", "created_by"], name="rehearsal_mark_by_witness")
        ]

    def __str__(self) -> str:
        return self.get_outcome_display()
