"""What the office asks of every case, what was said of it in one, and what was set aside."""

from __future__ import annotations

from django.db import models

from cases.checking.applies import OFFICE_APPLIES_CHOICES
from cases.checking.rules import ANSWER_WORDS, LEVEL_WORDS, Answered, Level
from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import once_active

LEVELS = [(level.value, LEVEL_WORDS[level]) for level in Level]
ANSWERS = [(one.value, ANSWER_WORDS[one]) for one in Answered]


class OfficeCheck(Record):
    """A check as this office keeps it: one that comes with the software, changed, or its own."""

    key = models.SlugField("check", max_length=40, editable=False)
    is_own = models.BooleanField("the office’s own", default=False, editable=False)
    words = models.CharField("what is asked", max_length=240)
    level = models.CharField(
        "how much it is needed", max_length=8, choices=LEVELS, default=Level.SHOULD.value
    )
    is_off = models.BooleanField("not asked in this office", default=False)
    applies = models.CharField(
        "when it is asked", max_length=24, choices=OFFICE_APPLIES_CHOICES, default="always"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "office_check_once_a_key", "key", message="The office has changed this check."
            )
        ]

    def __str__(self) -> str:
        return self.words


class CheckAnswer(CaseRecord):
    """What a person said of a check in a case: done, not for this case, or sent without it."""

    stays_inside = True

    key = models.SlugField("check", max_length=40, editable=False)
    words = models.CharField("as it was asked", max_length=480, editable=False)
    answer = models.CharField(max_length=16, choices=ANSWERS)
    why = models.TextField("reason", max_length=1000)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "check_answered_once", "case", "key", message="This check is answered already."
            )
        ]

    def __str__(self) -> str:
        return self.words


class CheckSetAside(CaseRecord):
    """Two places that do not agree, and that a person looked at and left, with the reason."""

    stays_inside = True

    key = models.CharField("what it is about", max_length=80, editable=False)
    rule = models.SlugField("kind", max_length=40, editable=False)
    words = models.TextField("as it was pointed out", editable=False)
    why = models.TextField("reason", editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active("check_set_aside_once", "case", "key", message="This is set aside already.")
        ]

    def __str__(self) -> str:
        return self.words
