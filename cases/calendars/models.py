"""Leave, feeds of which only a digest of the address is kept, and what the office lets them say."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, staff_chosen


class Leave(Record):
    """A person is away."""

    person = staff_chosen()
    first_on = models.DateField("first day")
    last_on = models.DateField("last day")
    why = models.CharField(max_length=120, blank=True)

    class Meta(Record.Meta):
        verbose_name_plural = "leave"
        ordering = ["first_on", "id"]
        indexes = [
            models.Index(fields=["person", "first_on", "id"], name="leave_by_person"),
            models.Index(fields=["last_on", "id"], name="leave_by_last_day"),
        ]
        constraints = [
            must(
                "leave_in_order",
                models.Q(last_on__gte=models.F("first_on")),
                "The last day cannot be before the first.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.first_on:%Y-%m-%d} to {self.last_on:%Y-%m-%d}"


class CalendarFeed(Record):
    """A private address under which a person's calendar, or the office's, is read."""

    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        editable=False,
        help_text="Empty for the office",
    )
    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active("calendar_feed_once_a_person", "owner"),
            models.UniqueConstraint(
                models.Value(1),
                condition=models.Q(voided_at=None, owner=None),
                name="calendar_feed_once_for_the_office",
            ),
        ]

    def __str__(self) -> str:
        return f"Calendar of {self.owner or 'the office'}"


class CalendarNames(Record):
    """Whether feeds name decedents; where nobody said so, they do not."""

    named = models.BooleanField("feeds name decedents", default=False)

    class Meta(Record.Meta):
        constraints = [once_active("calendar_names_once", models.Value(1))]

    def __str__(self) -> str:
        return "Feeds name decedents" if self.named else "Feeds name no decedents"
