"""Dates in court of one case, and the dates from which they were moved."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from cases.appearances.rules import AHEAD, ALLOWED_MOVES, AppearanceState, minutes_words
from cases.court.models import RecordsRequest
from cases.exhibits.models import ExhibitSet
from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to, staff_chosen, state_from


class Appearance(CaseRecord):
    """A member of staff is to testify, or to meet counsel beforehand."""

    # How it went is the witness's own note: no released history holds it.
    stays_inside = True

    KINDS = [
        ("deposition", "deposition"),
        ("hearing", "hearing"),
        ("trial", "trial"),
        ("meeting", "meeting before testimony"),
    ]
    SIDES = [
        ("prosecution", "prosecution"),
        ("defense", "defense"),
        ("plaintiff", "plaintiff in a civil case"),
        ("respondent", "defendant in a civil case"),
        ("court", "the court itself"),
        ("other", "other"),
    ]

    kind = models.CharField(max_length=12, choices=KINDS)
    witness = staff_chosen()
    begins_at = models.DateTimeField("begins")
    expected_minutes = models.PositiveIntegerField("expected length minutes", null=True, blank=True)
    place = models.CharField(max_length=240, help_text="Building and room, or how to join")
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    called_by = models.CharField(max_length=12, choices=SIDES)
    counsel = models.CharField(max_length=240, blank=True, help_text="Name and telephone")
    leave_at = models.DateTimeField("leaves", null=True, blank=True)
    travel = models.CharField(max_length=240, blank=True, help_text="How the witness gets there")
    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="appearances", null=True, blank=True
    )
    exhibit_set = models.ForeignKey(
        ExhibitSet, models.PROTECT, related_name="appearances", null=True, blank=True
    )
    state_moves = ALLOWED_MOVES
    state = state_from(AppearanceState.EXPECTED, 8)
    canceled_why = models.TextField("reason for canceling", blank=True, editable=False)
    stand_minutes = models.PositiveIntegerField(
        "time on the stand minutes", null=True, blank=True, editable=False
    )
    went = models.TextField("how it went", blank=True, editable=False)
    asked_afterward = models.TextField("asked for afterward", blank=True, editable=False)
    asked_settled = models.TextField(
        "done about what was asked for", blank=True, db_default="", editable=False
    )
    asked_settled_at = models.DateTimeField("noted as done", null=True, blank=True, editable=False)
    asked_settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        verbose_name="noted as done by",
        related_name="+",
        null=True,
        blank=True,
        editable=False,
    )

    class Meta(Record.Meta):
        verbose_name = "date in court"
        verbose_name_plural = "dates in court"
        ordering = ["begins_at", "id"]
        constraints = [
            must(
                "appearance_leaves_before_it_begins",
                models.Q(leave_at=None) | models.Q(leave_at__lte=models.F("begins_at")),
                "Leaving cannot be after it begins.",
            ),
            must(
                "appearance_canceled_with_reason",
                ~models.Q(state=AppearanceState.CANCELED.value) | ~models.Q(canceled_why=""),
            ),
        ]
        indexes = [
            models.Index(fields=["case", "begins_at", "id"], name="appearance_by_case"),
            models.Index(fields=["begins_at", "id"], name="appearance_by_date"),
            models.Index(fields=["witness", "state", "begins_at"], name="appearance_by_witness"),
            models.Index(
                fields=["begins_at", "id"],
                condition=models.Q(
                    state__in=[state.value for state in AHEAD], voided_at__isnull=True
                ),
                name="appearance_ahead",
            ),
            models.Index(
                fields=["begins_at", "id"],
                condition=models.Q(asked_settled_at=None, voided_at=None)
                & ~models.Q(asked_afterward=""),
                name="appearance_asked_open",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display().capitalize()}, {self.court or self.place}"

    @property
    def is_ahead(self) -> bool:
        """Tell whether it is still to come, as far as anybody said."""
        return self.state in AHEAD and not self.is_voided

    @property
    def asks_for_something(self) -> bool:
        """Tell whether something was asked for in court of which nobody said what was done."""
        return bool(self.asked_afterward) and self.asked_settled_at is None and not self.is_voided

    @property
    def length_words(self) -> str:
        """How long it is expected to take; empty where nobody said."""
        return minutes_words(self.expected_minutes)

    @property
    def stand_words(self) -> str:
        """How long the witness was on the stand; empty where nobody said."""
        return minutes_words(self.stand_minutes)


class AppearanceMove(CaseRecord):
    """The date at which something was to begin before it was moved, and why it was moved."""

    stays_inside = True

    appearance = points_to(Appearance, "moves")
    began_at = models.DateTimeField("earlier date", editable=False)
    place = models.CharField("earlier place", max_length=240, editable=False)
    why = models.TextField("reason for moving", editable=False)

    class Meta(Record.Meta):
        verbose_name = "earlier date in court"
        ordering = ["created_at", "id"]
        indexes = [
            models.Index(fields=["appearance", "created_at"], name="appearance_move_by_date")
        ]

    def __str__(self) -> str:
        return f"Moved: {self.why}"
