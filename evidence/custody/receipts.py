"""Reads of receipts: what was handed to an agency, and what may be."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from cases.models import Case
from evidence.custody.models import AgencyReceipt, Transfer
from evidence.custody.queries import ItemCustody, custody_record
from evidence.items.kinds import CASH
from evidence.items.models import Item
from me_office.audit.errors import NotKnown, known


def receipts_of(case: Case) -> list[AgencyReceipt]:
    """Return the case's receipts by number, withdrawn ones too."""
    return list(AgencyReceipt.objects.filter(case=case).select_related("given_by"))


def receipt_of(case: Case, receipt_id: UUID) -> AgencyReceipt:
    """Return a receipt of the case. Raises NotKnown."""
    rows = AgencyReceipt.objects.filter(case=case, pk=receipt_id)
    receipt: AgencyReceipt | None = rows.select_related("given_by").first()
    return known(receipt, "receipt")


def lines_of(receipt: AgencyReceipt) -> list[Transfer]:
    """Return the receipt's items as their transfers, by item number, in one statement."""
    return list(
        Transfer.objects.filter(receipt=receipt)
        .select_related("item__property", "item__specimen")
        .order_by("item__number")
    )


def may_be_handed_over(case: Case) -> list[ItemCustody]:
    """Return the items that the office holds and that are no photographs, by number."""
    return [
        one
        for one in custody_record(case)
        if one.item.kind != "photograph"
        and not one.item.is_voided
        and one.item.container_id is None
        and one.receipt is None
    ]


def items_for_update(case: Case, keys: Sequence[UUID]) -> dict[UUID, Item]:
    """Return items of the case, locked in one order. Raises NotKnown."""
    rows = Item.objects.select_for_update().filter(case=case, pk__in=keys).order_by("pk")
    items = {item.pk: item for item in rows}
    if len(items) != len(set(keys)):
        raise NotKnown("There is no such item in this case.")
    return items


def holds_cash(keys: Sequence[UUID]) -> bool:
    """Tell whether one of the items is cash."""
    return Item.objects.filter(
        pk__in=keys, property__category=CASH, property__voided_at=None
    ).exists()
