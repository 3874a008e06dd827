"""Subpoenas, records requests and releases."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.functional import cached_property

from cases.court.rules import RequestState
from cases.models import CaseRecord
from me_office.audit.models import ActiveQuerySet, Record


class RecordsRequest(CaseRecord):
    """A subpoena or another request for the case's records."""

    KINDS = [
        ("subpoena", "subpoena"),
        ("court order", "court order"),
        ("records request", "records request"),
    ]

    kind = models.CharField(max_length=16, choices=KINDS)
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    party = models.CharField(max_length=160, help_text="Who asks")
    contact = models.CharField(max_length=240, blank=True, help_text="Where the answer goes")
    served_on = models.DateField(help_text="Date served or received")
    due_on = models.DateField()
    asks_for = models.TextField()
    state = models.CharField(
        max_length=10,
        choices=[(s.value, s.value) for s in RequestState],
        default=RequestState.OPEN.value,
        editable=False,
    )

    class Meta(Record.Meta):
        ordering = ["due_on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(due_on__gte=models.F("served_on")),
                name="request_due_after_service",
                violation_error_message="The due date cannot be before the date served.",
            ),
            models.CheckConstraint(
                condition=~models.Q(kind__in=["subpoena", "court order"])
                | (~models.Q(court="") & ~models.Q(cause_number="")),
                name="subpoena_names_court_and_cause",
                violation_error_message="A subpoena or court order names its court and cause "
                "number.",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "due_on", "id"], name="request_by_due"),
            models.Index(fields=["due_on", "id"], name="request_of_all_by_due"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.party}"

    @cached_property
    def made_releases(self) -> list[Release]:
        """Its releases, the earliest first; who reads several requests prefetches into this."""
        return list(made_releases().filter(request=self))

    @property
    def still_due(self) -> str:
        """What is left to send of an open request, from `made_releases`; empty otherwise."""
        if self.state != RequestState.OPEN or not self.made_releases:
            return ""
        return self.made_releases[-1].still_due


class Release(CaseRecord):
    """A packet was handed over."""

    METHODS = [
        ("in person", "in person"),
        ("mail", "registered mail"),
        ("courier", "courier"),
        ("secure transfer", "secure electronic transfer"),
    ]

    ANSWERS = [
        ("whole", "everything that was asked for"),
        ("part", "a part of it; the request stays open"),
    ]

    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="releases", editable=False
    )
    # The packet is named by key and digest: this table knows nothing of how packets are made.
    packet_id = models.UUIDField(editable=False)
    packet_sha256 = models.CharField(max_length=64, editable=False)
    released_to = models.CharField(max_length=160)
    method = models.CharField(max_length=16, choices=METHODS)
    released_at = models.DateTimeField()
    released_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    note = models.TextField(blank=True)
    answers = models.CharField(max_length=5, choices=ANSWERS, default="whole")
    still_due = models.TextField(
        "still to be sent", blank=True, help_text="What was asked for and is not in this packet"
    )

    class Meta(Record.Meta):
        ordering = ["released_at", "id"]
        indexes = [
            models.Index(fields=["-released_at", "-id"], name="release_latest"),
            models.Index(fields=["packet_id"], name="release_by_packet"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(answers="whole", still_due="")
                | (models.Q(answers="part") & ~models.Q(still_due="")),
                name="release_says_what_is_left",
                violation_error_message="A part was released: say what is still to be sent.",
            )
        ]

    def __str__(self) -> str:
        return f"Released to {self.released_to}"


def made_releases() -> ActiveQuerySet[Release]:
    """Return the releases that stand, the earliest first, with who released."""
    return Release.objects.active().select_related("released_by").order_by("released_at")
