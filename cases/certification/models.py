"""Cause and manner of death."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from cases.certification import items
from cases.certification.rules import MANNERS, Manner, manner_words
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
    manner = models.CharField(max_length=14, choices=MANNERS, default=Manner.PENDING.value)
    basis = models.TextField(blank=True, help_text="What the opinion rests on")
    # Items 14 to 17, 29 and 30. Who pronounced, and when (24 to 26), stands in the report of death.
    death_on = models.DateField(null=True, blank=True)
    death_on_is = models.CharField(max_length=8, choices=items.ACTUAL_OR_PRESUMED, blank=True)
    death_time = models.TimeField(null=True, blank=True)
    death_time_is = models.CharField(max_length=8, choices=items.ACTUAL_OR_PRESUMED, blank=True)
    death_place_kind = models.CharField(max_length=20, choices=items.PLACES_OF_DEATH, blank=True)
    death_place_name = models.CharField(max_length=240, blank=True)
    death_city = models.CharField(max_length=120, blank=True)
    death_county = models.CharField(max_length=120, blank=True)
    death_state = models.CharField(max_length=60, blank=True)
    death_zip = models.CharField(max_length=20, blank=True)
    # Items 33 to 36.
    autopsy = models.CharField(max_length=3, choices=items.YES_NO, blank=True)
    autopsy_available = models.CharField(max_length=3, choices=items.YES_NO, blank=True)
    tobacco = models.CharField(max_length=8, choices=items.TOBACCO, blank=True)
    pregnancy = models.CharField(max_length=1, choices=items.PREGNANCY, blank=True)
    # Items 38 to 44.
    injury_on = models.DateField(null=True, blank=True)
    injury_time = models.TimeField(null=True, blank=True)
    injury_at_words = models.CharField(
        max_length=120,
        blank=True,
        help_text="Where no date or time can be given: “unknown”, “between Friday and Sunday”",
    )
    injury_place = models.CharField(max_length=160, blank=True)
    injury_at_work = models.CharField(max_length=8, choices=items.YES_NO_UNKNOWN, blank=True)
    injury_street = models.CharField(max_length=240, blank=True)
    injury_city = models.CharField(max_length=120, blank=True)
    injury_state = models.CharField(max_length=60, blank=True)
    injury_zip = models.CharField(max_length=20, blank=True)
    injury_how = models.CharField(max_length=240, blank=True)
    transport_role = models.CharField(max_length=10, choices=items.TRANSPORT_ROLES, blank=True)
    transport_other = models.CharField(max_length=60, blank=True)
    stated_at = models.DateTimeField()
    stated_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta(Record.Meta):
        indexes = [
            models.Index(
                fields=["created_at", "id"],
                condition=models.Q(manner=Manner.PENDING.value),
                name="certification_pending",
            )
        ]
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
            models.CheckConstraint(
                condition=models.Q(autopsy_available="") | models.Q(autopsy="yes"),
                name="certification_findings_of_an_autopsy",
                violation_error_message="Item 34 is asked only when an autopsy was performed.",
            ),
            models.CheckConstraint(
                condition=models.Q(transport_other="") | models.Q(transport_role="other"),
                name="certification_other_role_named",
                violation_error_message="Another role is named only where the role is “other”.",
            ),
        ]

    def __str__(self) -> str:
        return f"Manner {self.manner_words}"

    @property
    def manner_words(self) -> str:
        """The manner in the words of the certificate."""
        return manner_words(self.manner)

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
