"""Specimens, and the kits and trays that hold several of them."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from evidence.items import kinds
from evidence.items.models import Item
from me_office.audit.models import Record
from me_office.audit.tables import must


class Specimen(CaseRecord):
    """Blood, tissue, swab or other material taken for testing or keeping."""

    item = models.OneToOneField(Item, models.PROTECT, related_name="specimen", editable=False)
    label = models.CharField(
        max_length=20, blank=True, editable=False, help_text="Of a part in its kit or tray: A1"
    )
    material = models.CharField(max_length=80, help_text="Blood, vitreous, urine, liver")
    site = models.CharField(max_length=120, help_text="Where on or in the body it came from")
    site_reason = models.CharField("why the site is right", max_length=240, blank=True)
    amount = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    unit = models.CharField(
        max_length=10,
        choices=[("mL", "mL"), ("g", "g"), ("pieces", "pieces")],
        blank=True,
    )
    container = models.CharField(max_length=120)
    preservative = models.CharField(max_length=120, blank=True)
    purpose = models.CharField(max_length=120, blank=True, help_text="Toxicology, histology, DNA")
    origin = models.CharField(
        max_length=12, choices=kinds.ORIGINS, default=kinds.BY_OFFICE, editable=False
    )
    taken_by = models.CharField(max_length=160, blank=True)
    taken_where = models.CharField(max_length=160, blank=True)
    label_time = models.CharField("time on the label", max_length=80, blank=True)
    received_from = models.CharField(max_length=160, blank=True)

    class Meta(Record.Meta):
        constraints = [
            must(
                "specimen_of_others_says_whose",
                models.Q(origin=kinds.BY_OFFICE)
                | ~models.Q(taken_by="")
                & ~models.Q(taken_where="")
                & ~models.Q(label_time="")
                & ~models.Q(received_from=""),
                "Say who took it, where and when, and who brought it.",
            ),
            must(
                "specimen_amount_has_unit",
                models.Q(amount=None) | (models.Q(amount__gt=0) & ~models.Q(unit="")),
                "Give the unit with the amount.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.labeled_material}, {self.site}"

    @property
    def amount_words(self) -> str:
        """How much it is: 8.5 mL, 1 piece; empty where nobody said."""
        if self.amount is None:
            return ""
        unit = "piece" if self.amount == 1 and self.unit == "pieces" else self.unit
        return f"{self.amount.normalize():f} {unit}"

    @property
    def labeled_material(self) -> str:
        """The material, of a part after its label: A1 Heart."""
        return f"{self.label} {self.material}".strip()

    @property
    def is_of_others(self) -> bool:
        """Tell whether somebody else took it: it was not taken at the examination."""
        return self.origin != kinds.BY_OFFICE

    @property
    def origin_words(self) -> str:
        """Who took it where and when, if not this office; empty for the office's own."""
        if not self.is_of_others:
            return ""
        return (
            f"{self.get_origin_display()}: {self.taken_by}, {self.taken_where}; time on the label: "
            f"{self.label_time}; received from {self.received_from}"
        )


class Kit(CaseRecord):
    """Several specimens under one seal: they are sealed, moved and handed over as one item.

    Each part is a specimen with an item of its own whose `container` is the kit's; seals and
    transfers stand on the kit alone.
    """

    item = models.OneToOneField(Item, models.PROTECT, related_name="kit", editable=False)
    kind = models.CharField("what it is", max_length=16, choices=kinds.KITS)
    description = models.CharField(max_length=120, blank=True)

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        kind = self.get_kind_display()
        return f"{kind[:1].upper()}{kind[1:]}" + (
            f", {self.description}" if self.description else ""
        )
