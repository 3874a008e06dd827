"""Things: evidence and personal effects."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from evidence.items import kinds
from evidence.items.models import Item
from findings.models.examination import Finding
from me_office.audit.models import Record
from me_office.audit.tables import must


class PropertyItem(CaseRecord):
    """A thing that the office keeps: evidence, or an effect that belongs to the decedent.

    `Item.kind` follows `kept_as`. Rows from before the question was asked have no `found`.
    """

    item = models.OneToOneField(Item, models.PROTECT, related_name="property", editable=False)
    category = models.CharField(
        "what it is", max_length=16, choices=kinds.CATEGORIES, default="personal effects"
    )
    kept_as = models.CharField(max_length=8, choices=kinds.KEPT_AS, default=kinds.PROPERTY)
    description = models.TextField()
    found = models.CharField("where it was found", max_length=20, choices=kinds.FOUND, blank=True)
    found_at = models.CharField(max_length=160, blank=True)
    finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="things", null=True, blank=True
    )
    cash_count = models.JSONField(default=list, blank=True)
    cash_currency = models.CharField(max_length=3, blank=True)
    witnessed_by = models.CharField(max_length=120, blank=True, help_text="Who counted with you")

    class Meta(Record.Meta):
        constraints = [
            must(
                "thing_kept_as_it_can_be",
                ~models.Q(kept_as=kinds.PROPERTY, category__in=sorted(kinds.ONLY_EVIDENCE)),
                "This is kept as evidence, not as personal effects.",
            ),
            must(
                "cash_counted_by_two",
                ~models.Q(category=kinds.CASH)
                | (~models.Q(cash_count=[]) & ~models.Q(witnessed_by="")),
                "Cash is counted by two people.",
            ),
        ]

    def __str__(self) -> str:
        return self.description[:60]

    @property
    def where_words(self) -> str:
        """Where it was found: at the scene, wall behind the chair."""
        return ", ".join(part for part in (self.get_found_display(), self.found_at) if part)

    @property
    def cash_words(self) -> str:
        """The count of cash and what it comes to, or nothing."""
        return kinds.cash_words(self.cash_count, self.cash_currency)
