"""Cause and manner of death."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from cases.certification.rules import Manner
from cases.models import Case
from me_office.audit.models import Record


class Certification(Record):
    """The pathologist's opinion on cause and manner; line a is due to b, b to c, c to d."""

    case = models.OneToOneField(Case, models.PROTECT, related_name="certification", editable=False)
    cause_a = models.CharField("immediate cause", max_length=240, blank=True)
    interval_a = models.CharField("interval a", max_length=60, blank=True)
    cause_b = models.CharField("due to", max_length=240, blank=True)
    interval_b = models.CharField("interval b", max_length=60, blank=True)
    cause_c = models.CharField("due to (c)", max_length=240, blank=True)
    interval_c = models.CharField("interval c", max_length=60, blank=True)
    cause_d = models.CharField("due to (d)", max_length=240, blank=True)
    interval_d = models.CharField("interval d", max_length=60, blank=True)
    contributing = models.TextField("other significant conditions", blank=True)
    manner = models.CharField(
        max_length=14, choices=[(m.value, m.value) for m in Manner], default=Manner.PENDING.value
    )
    basis = models.TextField(blank=True, help_text="What the opinion rests on")
    injury_how = models.CharField(max_length=240, blank=True, help_text="How the injury occurred")
    injury_place = models.CharField(max_length=160, blank=True)
    injury_at_words = models.CharField(
        max_length=120, blank=True, help_text="Date and time of injury, as well as known"
    )
    injury_at_work = models.CharField(
        max_length=8, choices=[("yes", "yes"), ("no", "no"), ("unknown", "unknown")], blank=True
    )
    stated_at = models.DateTimeField()
    stated_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                condition=models.Q(manner=Manner.PENDING.value) | ~models.Q(cause_a=""),
                name="certification_manner_needs_cause",
                violation_error_message="State the cause, or leave the manner pending.",
            ),
            models.CheckConstraint(
                condition=(models.Q(cause_b="") | ~models.Q(cause_a=""))
                & (models.Q(cause_c="") | ~models.Q(cause_b=""))
                & (models.Q(cause_d="") | ~models.Q(cause_c="")),
                name="certification_lines_without_gap",
                violation_error_message="Fill the lines from the top, without a gap.",
            ),
        ]

    def __str__(self) -> str:
        return f"Manner {self.manner}"

    @property
    def lines(self) -> list[tuple[str, str, str]]:
        """The filled lines of part I: (letter, cause, interval)."""
        return [
            (letter, cause, interval)
            for letter, cause, interval in (
                ("a", self.cause_a, self.interval_a),
                ("b", self.cause_b, self.interval_b),
                ("c", self.cause_c, self.interval_c),
                ("d", self.cause_d, self.interval_d),
            )
            if cause
        ]
