"""Reads of specimens, kits and their parts."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet

from cases.models import Case
from evidence.items.queries import one_with_item
from evidence.specimens.models import Kit, Specimen


def specimens_of(case: Case) -> list[Specimen]:
    """Return the case's specimens with their items, withdrawn ones too, by item number."""
    return list(
        Specimen.objects.filter(case=case)
        .select_related("item", "item__collected_by", "item__container")
        .order_by("item__number")
    )


def specimen_of(case: Case, specimen_id: UUID) -> Specimen:
    """Return a specimen of the case. Raises NotKnown."""
    return one_with_item(Specimen.objects.filter(case=case, pk=specimen_id), "specimen")


def specimen_for_update(case: Case, specimen_id: UUID) -> Specimen:
    """Return a specimen of the case, locked. Raises NotKnown."""
    rows = Specimen.objects.select_for_update(of=("self",)).filter(case=case, pk=specimen_id)
    return one_with_item(rows, "specimen")


def kits_of(case: Case) -> list[Kit]:
    """Return the kits and trays of the case, withdrawn ones too, by item number."""
    return list(Kit.objects.filter(case=case).select_related("item").order_by("item__number"))


def kit_of(case: Case, kit_id: UUID) -> Kit:
    """Return a kit of the case. Raises NotKnown."""
    return one_with_item(Kit.objects.filter(case=case, pk=kit_id), "kit")


def kit_for_update(case: Case, kit_id: UUID) -> Kit:
    """Return a kit of the case, locked. Raises NotKnown."""
    rows = Kit.objects.select_for_update(of=("self",)).filter(case=case, pk=kit_id)
    return one_with_item(rows, "kit")


def part_of(case: Case, specimen_id: UUID) -> Specimen:
    """Return an active specimen that is recorded in a kit. Raises NotKnown."""
    rows = Specimen.objects.filter(
        case=case, pk=specimen_id, voided_at=None, item__container__isnull=False
    )
    return one_with_item(rows, "part of a kit")


def other_kits(part: Specimen) -> QuerySet[Kit]:
    """Return the active kits of the case in which a part is not recorded, by item number."""
    kits = Kit.objects.filter(case=part.case_id, voided_at=None)
    others = kits.exclude(item=part.item.container_id)
    return others.select_related("item").order_by("item__number")


def specimens_in(kit: Kit) -> list[Specimen]:
    """Return the parts of a kit in their order, withdrawn ones too."""
    rows = Specimen.objects.filter(item__container=kit.item_id)
    return list(rows.select_related("item").order_by("item__number"))
