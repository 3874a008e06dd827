"""Seals and custody transfers."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from evidence.items.models import Item
from evidence.items.receivers import WHERE
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to, staff_if_any, staff_who


class Seal(CaseRecord):
    """What closes an item: a numbered seal, or the SHA-256 digest of a file."""

    KINDS = [("numbered", "numbered seal"), ("digest", "SHA-256 digest")]

    item = points_to(Item, "seals")
    kind = models.CharField(max_length=10, choices=KINDS, editable=False)
    number = models.CharField(max_length=80)
    number_repeats = models.CharField(
        "why this number stands on another item too",
        max_length=240,
        blank=True,
        default="",
        help_text="Only where another item bears the same number, as from another vendor.",
    )
    applied_at = models.DateTimeField()
    applied_by = models.CharField(max_length=120)
    broken_at = models.DateTimeField(null=True, blank=True)
    broken_by = models.CharField(max_length=120, blank=True)
    broken_why = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["applied_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["number"],
                condition=models.Q(kind="numbered", voided_at=None, number_repeats=""),
                name="seal_number_taken",
                violation_error_message="This seal number is in use on another item.",
            ),
            must(
                "seal_broken_says_who_and_why",
                models.Q(broken_at=None)
                | (
                    models.Q(broken_at__gte=models.F("applied_at"))
                    & ~models.Q(broken_by="")
                    & ~models.Q(broken_why="")
                ),
                "Say who broke the seal, when and why.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"


class AgencyReceipt(CaseRecord):
    """Items handed to the police or another agency at once, against a receipt.

    The office's custody of them ends with it. Each item has a transfer that names the receipt.
    """

    number = models.PositiveIntegerField(editable=False)
    agency = models.CharField(max_length=120)
    received_by = models.CharField(
        max_length=120, help_text="Name and rank or function of the person who received them"
    )
    identification = models.CharField(
        "identification seen",
        max_length=120,
        help_text="What was seen: agency identification card, badge number.",
    )
    agency_case_number = models.CharField("case number of the agency", max_length=60, blank=True)
    given_by = staff_who()
    second_person = models.CharField(
        max_length=120, blank=True, help_text="Who counted with you. Needed when cash is given."
    )
    at = models.DateTimeField()
    place = models.CharField(max_length=120)
    purpose = models.CharField(max_length=160)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="agency_receipt_number_once"),
        ]

    def __str__(self) -> str:
        return f"Receipt {self.number}, {self.agency}"

    @property
    def party(self) -> str:
        """Who holds the items from then on, as custody names it."""
        return f"{self.received_by}, {self.agency}"[:160]


class Transfer(CaseRecord):
    """An item passes from one party to another."""

    SEALS = [("intact", "intact"), ("broken", "broken"), ("none", "no seal yet")]

    item = points_to(Item, "transfers")
    from_party = models.CharField(max_length=160)
    from_staff = staff_if_any()
    to_party = models.CharField(max_length=160)
    to_staff = staff_if_any()
    # Of a party or place in words; empty for staff, and where nobody said.
    to_where = models.CharField("where the receiver is", max_length=8, choices=WHERE, blank=True)
    at = models.DateTimeField()
    place = models.CharField(max_length=160)
    purpose = models.CharField(max_length=160)
    seal_state = models.CharField(max_length=8, choices=SEALS)
    note = models.CharField(max_length=240, blank=True)
    receipt = models.ForeignKey(
        AgencyReceipt,
        models.PROTECT,
        related_name="transfers",
        null=True,
        blank=True,
        editable=False,
    )

    class Meta(Record.Meta):
        ordering = ["at", "id"]
        constraints = [
            must(
                "custody_transfer_not_to_self",
                ~models.Q(from_party=models.F("to_party")),
                "An item cannot pass to the party that holds it.",
            )
        ]
        indexes = [models.Index(fields=["item", "at"], name="transfer_by_item")]

    def __str__(self) -> str:
        return f"{self.from_party} to {self.to_party}"


class CustodyState(models.Model):
    """Who holds an item now and whether a seal closes it, so that no list reads whole histories.

    Kept by the database itself from seals and transfers (see the migration `item_standing`);
    nothing here is a statement of its own, and no action writes it.
    """

    item = models.OneToOneField(
        Item, models.PROTECT, related_name="custody_state", primary_key=True, editable=False
    )
    sealed = models.BooleanField(default=False)
    loose = models.BooleanField(default=False, help_text="Neither sealed nor a photograph")
    left_office = models.BooleanField(default=False, help_text="With an agency against a receipt")
    holder = staff_if_any()
    held_by = models.CharField(max_length=160, blank=True)
    held_since = models.DateTimeField(null=True, blank=True)

    class Meta:
        db_table = "custody_itemstanding"
        indexes = [
            models.Index(
                fields=["item"], condition=models.Q(loose=True), name="item_standing_loose"
            ),
            models.Index(
                fields=["holder", "held_since", "item"],
                condition=models.Q(holder__isnull=False),
                name="item_standing_by_holder",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} held by {self.held_by}"
