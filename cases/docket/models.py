"""Who handles a request, and orders under which it is answered."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from cases.court.models import RecordsRequest
from cases.docket.rules import CopiesDo
from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import must, of_active, once_active, points_to, staff_later

COPIES = CopiesDo.choices()


class Handling(CaseRecord):
    """Who handles a request. Given to somebody else, this is withdrawn and another is made."""

    stays_inside = True

    request = points_to(RecordsRequest, "handlings")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name="handled by"
    )

    class Meta(Record.Meta):
        verbose_name = "handling of a request"
        ordering = ["created_at", "id"]
        constraints = [
            once_active("request_handled_by_one", "request", message="It was given meanwhile.")
        ]
        indexes = [of_active("handling_of_person", "person", "request")]

    def __str__(self) -> str:
        return f"Handled by {self.person}"


class ProtectiveOrder(CaseRecord):
    """An order under which a request is answered: who may see it, and what of the copies."""

    stays_inside = True

    request = points_to(RecordsRequest, "protective_orders")
    made_on = models.DateField("date of the order")
    who_may_see = models.TextField("who may see what is sent")
    until = models.DateField("in force until", null=True, blank=True)
    copies = models.CharField("the copies in the end", max_length=8, choices=COPIES)
    back_by = models.DateField("returned or destroyed by", null=True, blank=True)
    note = models.CharField(max_length=240, blank=True)
    ended_on = models.DateField("returned or destroyed on", null=True, blank=True, editable=False)
    ended_how = models.TextField("how it was confirmed", blank=True, editable=False)
    ended_by = models.CharField("by whom", max_length=160, blank=True, editable=False)
    ended_noted_by = staff_later()

    class Meta(Record.Meta):
        ordering = ["made_on", "id"]
        constraints = [
            must("copies_ended_says_how", models.Q(ended_on=None, ended_how="", ended_by="")
                | (
                    models.Q(ended_on__isnull=False) & ~models.Q(ended_how="")
                    & ~models.Q(ended_by="")
                ), "Say by whom, when and how it was confirmed.")
        ]  # fmt: skip
        indexes = [
            models.Index(
                fields=["back_by", "id"],
                condition=models.Q(voided_at=None, ended_on=None, back_by__isnull=False),
                name="copies_due_back",
            ),
        ]

    def __str__(self) -> str:
        return "Protective order"

    @property
    def is_open(self) -> bool:
        """Tell whether copies are still to be returned or destroyed."""
        return self.copies != "keep" and self.ended_on is None and not self.is_voided
