"""Who wants what waits for them by mail, and which mail went out on which day."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from me_office.audit.ids import new_id
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_chosen


class DailyMail(Record):
    """A person's own choice; without a row nothing is sent."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )
    wanted = models.BooleanField("send a daily mail", default=False)
    address = models.EmailField("mail address", blank=True)

    class Meta(Record.Meta):
        verbose_name = "daily mail"
        constraints = [
            must(
                "daily_mail_has_an_address",
                models.Q(wanted=False) | ~models.Q(address=""),
                "Give the address to which it is sent.",
            )
        ]
        indexes = [
            models.Index(
                fields=["person"], condition=models.Q(wanted=True), name="daily_mail_wanted"
            )
        ]

    def __str__(self) -> str:
        return "Daily mail"


class DailyMailSent(models.Model):
    """One person's mail of one day: the row is there before the mail goes out, so none goes twice.

    Overwritten as it goes, so no record of the office.
    """

    SENT, NOTHING = "sent", "nothing"
    OUTCOMES = [("", "not sent yet"), (SENT, "sent"), (NOTHING, "nothing waited")]

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    person = staff_chosen()
    day = models.DateField()
    outcome = models.CharField(max_length=8, choices=OUTCOMES, blank=True)
    tries = models.PositiveIntegerField(default=0)
    tried_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=120, blank=True, help_text="Why the last try failed")

    class Meta:
        ordering = ["-day", "id"]
        constraints = [
            models.UniqueConstraint(fields=["day", "person"], name="daily_mail_once_a_day")
        ]
        indexes = [models.Index(fields=["person", "-day"], name="daily_mail_of_person")]

    def __str__(self) -> str:
        return f"Daily mail of {self.day}, {self.outcome or 'not sent'}"
