"""Reads of things."""

from __future__ import annotations

from uuid import UUID

from cases.models import Case
from evidence.items.queries import one_with_item
from evidence.property.models import PropertyItem


def properties_of(case: Case) -> list[PropertyItem]:
    """Return evidence and personal effects of the case, withdrawn ones too, by item number."""
    return list(
        PropertyItem.objects.filter(case=case)
        .select_related("item", "item__collected_by", "finding")
        .order_by("item__number")
    )


def property_of(case: Case, property_id: UUID) -> PropertyItem:
    """Return a thing of the case. Raises NotKnown."""
    return one_with_item(PropertyItem.objects.filter(case=case, pk=property_id), "item")


def property_for_update(case: Case, property_id: UUID) -> PropertyItem:
    """Return a thing of the case, locked. Raises NotKnown."""
    rows = PropertyItem.objects.select_for_update(of=("self",)).filter(case=case, pk=property_id)
    return one_with_item(rows, "item")
