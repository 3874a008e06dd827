"""Holds on a body, its releases and returns, cremation approval and final disposition."""

from __future__ import annotations

from django.db import models
from django.utils.functional import cached_property

from cases.models import CaseRecord
from cases.remains.rules import DISPOSITIONS, Outcome
from me_office.audit.models import ActiveQuerySet, Record
from me_office.audit.tables import (
    must,
    once_active,
    points_to,
    staff_chosen,
    staff_later,
    staff_who,
    state_from,
)


class BodyHold(CaseRecord):
    """The body stays in the office until this is lifted."""

    KINDS = [
        ("police", "law enforcement asks that the body stays"),
        ("identification", "identification is pending"),
        ("second examination", "a second examination is asked for"),
        ("infection", "risk of infection not cleared with the receiver"),
        ("claim", "who may claim the body is in dispute"),
        ("other", "other"),
    ]

    kind = models.CharField(max_length=20, choices=KINDS)
    asked_by = models.CharField(max_length=160, help_text="Person and office")
    placed_at = models.DateTimeField()
    why = models.TextField()
    lifted_at = models.DateTimeField(null=True, blank=True, editable=False)
    lifted_by = staff_later()
    lifted_why = models.TextField("reason for lifting", blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["placed_at", "id"]
        indexes = [
            models.Index(fields=["case", "placed_at"], name="hold_by_case"),
            models.Index(
                fields=["placed_at", "id"],
                condition=models.Q(lifted_at=None, voided_at=None),
                name="hold_open",
            ),
        ]
        constraints = [
            must(
                "hold_lifted_with_reason",
                models.Q(lifted_at=None, lifted_by=None, lifted_why="")
                | (
                    models.Q(lifted_at__isnull=False, lifted_by__isnull=False)
                    & ~models.Q(lifted_why="")
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"Hold, {self.get_kind_display()}"

    @property
    def is_open(self) -> bool:
        """Tell whether the hold still keeps the body."""
        return self.lifted_at is None and not self.is_voided

    @property
    def words(self) -> str:
        """What keeps the body, in a few words."""
        return f"{self.get_kind_display()} ({self.asked_by})"


class BodyRelease(CaseRecord):
    """The body leaves the office: by whose authority, who it is, to whom it goes."""

    AUTHORITIES = [
        ("kin", "next of kin, in the order of local law"),
        ("agent", "person whom the decedent named in writing"),
        ("court", "court order"),
        ("public", "county or other public disposition"),
        ("donation", "anatomical gift"),
        ("agency", "another office with jurisdiction"),
        ("other", "other"),
    ]
    BELONGINGS = [
        ("given", "all given with the body"),
        ("some", "part given, part kept"),
        ("kept", "all kept by the office"),
        ("none", "there are none"),
    ]

    stay = models.PositiveSmallIntegerField(
        editable=False, help_text="Which of the body's stays in the office ends"
    )
    released_at = models.DateTimeField()
    released_by = staff_chosen()
    authority = models.CharField(max_length=10, choices=AUTHORITIES)
    authorized_by = models.CharField(max_length=160, help_text="Name")
    relation = models.CharField(max_length=160, help_text="Relation to the decedent, or office")
    authority_seen = models.CharField(max_length=240, help_text="Paper, number and date")
    tag_number = models.CharField(max_length=60, help_text="As read on the body")
    second_reader = models.CharField(max_length=160, help_text="Who else read the tag")
    identity_remark = models.TextField(blank=True)
    released_to = models.CharField(max_length=160, help_text="Funeral home or transport firm")
    receiver_license = models.CharField(max_length=60, blank=True)
    taken_by = models.CharField(max_length=160, help_text="Person who took the body")
    identification_seen = models.CharField(max_length=160, help_text="Kind of paper and issuer")
    belongings = models.CharField(max_length=10, choices=BELONGINGS)
    belongings_given = models.TextField(blank=True)
    belongings_kept = models.TextField(blank=True)
    wrap = models.TextField(blank=True, help_text="Bag, wrap and seal numbers")
    told = models.TextField(
        "told to the receiver", blank=True, help_text="Infection risk, implants, retained organs"
    )

    class Meta(Record.Meta):
        ordering = ["stay", "id"]
        indexes = [models.Index(fields=["-released_at", "-id"], name="body_release_latest")]
        constraints = [
            once_active(
                "body_released_once_a_stay", "case", "stay", message="The body is released already."
            )
        ]

    def __str__(self) -> str:
        return f"Body released to {self.released_to}"


class BodyReturn(CaseRecord):
    """A released body comes back: for a second examination, or exhumed."""

    PURPOSES = [
        ("second examination", "second examination"),
        ("exhumation", "exhumation"),
        ("sent back", "sent back by the receiver"),
        ("other", "other"),
    ]

    stay = models.PositiveSmallIntegerField(
        editable=False, help_text="Which of the body's stays in the office begins"
    )
    returned_at = models.DateTimeField()
    received_by = staff_chosen()
    purpose = models.CharField(max_length=20, choices=PURPOSES)
    authority = models.CharField(
        max_length=240, help_text="Order, permit or consent, with number and date"
    )
    delivered_by = models.CharField(max_length=160, help_text="Person and transport firm")
    received_from = models.CharField(max_length=240, help_text="The place the body came from")
    tag_number = models.CharField(max_length=60)
    condition = models.TextField(
        blank=True, help_text="Bag or coffin, seals, embalming, earlier incisions"
    )
    kept_at = models.CharField(max_length=120, help_text="Cooler and place")

    class Meta(Record.Meta):
        ordering = ["stay", "id"]
        constraints = [
            once_active(
                "body_returned_once_a_stay", "case", "stay", message="The body is back already."
            ),
            must("body_return_begins_later_stay", models.Q(stay__gte=2)),
        ]

    def __str__(self) -> str:
        return f"Body back, {self.get_purpose_display()}"


class CremationRequest(CaseRecord):
    """Somebody asks whether the office agrees to a cremation."""

    asked_by = models.CharField(max_length=160, help_text="Funeral home or crematory, and person")
    contact = models.CharField(max_length=160, blank=True, help_text="Telephone or address")
    asked_at = models.DateTimeField()
    certifier = models.CharField(
        max_length=160, blank=True, help_text="Who certifies the death, where not this office"
    )
    cause_words = models.TextField(
        "cause on the certificate", blank=True, help_text="As it was read to the office"
    )
    note = models.TextField(blank=True)
    outcome = state_from(Outcome.OPEN, 10)

    class Meta(Record.Meta):
        ordering = ["asked_at", "id"]
        indexes = [
            models.Index(
                fields=["asked_at", "id"],
                condition=models.Q(outcome="open", voided_at=None),
                name="cremation_open",
            )
        ]

    def __str__(self) -> str:
        return f"Cremation approval, asked by {self.asked_by}"

    @cached_property
    def made_decisions(self) -> list[CremationDecision]:
        """Its decisions, the earliest first; who reads several requests prefetches into this."""
        return list(made_decisions().filter(request=self))


class CremationDecision(CaseRecord):
    """The answer to a request; the latest one counts."""

    OUTCOMES = [("approved", "approved"), ("refused", "refused")]

    request = points_to(CremationRequest, "decisions")
    outcome = models.CharField(max_length=10, choices=OUTCOMES)
    decided_at = models.DateTimeField()
    decided_by = staff_who()
    why = models.TextField("ground", blank=True)

    class Meta(Record.Meta):
        ordering = ["decided_at", "id"]
        constraints = [
            must(
                "cremation_refused_with_reason",
                models.Q(outcome="approved") | ~models.Q(why=""),
                "Say why cremation is refused.",
            )
        ]

    def __str__(self) -> str:
        return f"Cremation {self.outcome}"


def made_decisions() -> ActiveQuerySet[CremationDecision]:
    """Return the decisions that stand, the earliest first, with who decided."""
    return CremationDecision.objects.active().select_related("decided_by").order_by("decided_at")


class Disposition(CaseRecord):
    """What became of the remains, as the office heard; the latest one counts."""

    method = models.CharField(max_length=20, choices=DISPOSITIONS)
    method_other = models.CharField(max_length=120, blank=True)
    by_county = models.BooleanField("by the county or another public office", default=False)
    place = models.CharField(
        max_length=160, blank=True, help_text="Name of the cemetery, crematory or other place"
    )
    location = models.CharField(max_length=160, blank=True, help_text="City or town, and state")
    facility = models.CharField(max_length=240, blank=True, help_text="Name and address")
    done_on = models.DateField(null=True, blank=True)
    known_from = models.CharField(
        max_length=160, help_text="Certificate as filed, permit number, who told"
    )

    class Meta(Record.Meta):
        ordering = ["id"]
        constraints = [
            must(
                "disposition_other_in_words",
                ~models.Q(method="other") | ~models.Q(method_other=""),
                "Say what was done.",
            )
        ]

    def __str__(self) -> str:
        return f"Disposition, {self.words}"

    @property
    def words(self) -> str:
        """The method in words."""
        method = self.method_other if self.method == "other" else self.get_method_display()
        return f"{method}, by the county" if self.by_county else method
