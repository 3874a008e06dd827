"""The body's receipt and how it was identified."""

from __future__ import annotations

from django.db import models

from cases.models.case import Case, CaseRecord
from cases.rules.case import IdentityState
from me_office.audit.models import Record
from me_office.audit.tables import must, staff_chosen
from me_office.worded import as_choices


class BodyReceipt(Record):
    """The body comes into the office's keeping."""

    SEALS = [
        ("intact", "intact"),
        ("broken", "broken on arrival"),
        ("none", "no seal"),
    ]

    case = models.OneToOneField(Case, models.PROTECT, related_name="body_receipt", editable=False)
    received_at = models.DateTimeField()
    received_by = staff_chosen()
    delivered_by = models.CharField(max_length=160, help_text="Person and transport company")
    received_from = models.CharField(max_length=240, help_text="The place the body came from")
    tag_number = models.CharField(max_length=60)
    seal_number = models.CharField(max_length=60, blank=True)
    seal_state = models.CharField(max_length=10, choices=SEALS)
    condition = models.TextField(blank=True, help_text="Bag, sheet, clothing, devices in place")
    kept_at = models.CharField(max_length=120, help_text="Cooler and place")
    body_temp_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    body_temp_c_read = models.CharField(
        max_length=30, blank=True, help_text="As read, where not in °C: 44.6 °F"
    )

    class Meta(Record.Meta):
        constraints = [
            must(
                "receipt_seal_has_number",
                models.Q(seal_state="none") | ~models.Q(seal_number=""),
                "Write the seal's number, or say that there was no seal.",
            )
        ]

    def __str__(self) -> str:
        return f"Body received, tag {self.tag_number}"


class Identification(CaseRecord):
    """One step in establishing who died, with the method. The latest active one applies."""

    METHODS = [
        ("visual", "visual, by a person who knew the decedent"),
        ("fingerprints", "fingerprints"),
        ("dental", "dental comparison"),
        ("dna", "DNA"),
        ("radiograph", "radiograph comparison"),
        ("device", "serial number of an implanted device"),
        ("documents", "documents or property found with the body"),
        ("tattoo or scar", "tattoo, scar or other mark"),
        ("circumstances", "circumstances"),
        ("none", "none yet"),
    ]

    identity = models.CharField(max_length=20, choices=as_choices(IdentityState))
    method = models.CharField(max_length=20, choices=METHODS)
    made_by = models.CharField(max_length=160, help_text="Who identified: person or laboratory")
    relation = models.CharField(max_length=120, blank=True)
    made_at = models.DateTimeField()
    basis = models.TextField(
        blank=True,
        help_text="What was compared with what; why it is enough, where the method alone is not",
    )

    class Meta(Record.Meta):
        ordering = ["made_at", "id"]
        indexes = [models.Index(fields=["case", "made_at"], name="identification_by_case")]
        constraints = [
            must(
                "identification_confirmed_has_method",
                ~models.Q(identity=IdentityState.CONFIRMED.value) | ~models.Q(method="none"),
                "A confirmed identity needs its method.",
            )
        ]

    def __str__(self) -> str:
        return f"Identity {self.identity} by {self.method}"
