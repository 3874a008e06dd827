"""Reads that all items share."""

from __future__ import annotations

from typing import TypeVar

from django.db.models import QuerySet

from cases.models import Case, CaseRecord
from evidence.items.models import Item
from me_office.audit.errors import known

RowT = TypeVar("RowT", bound=CaseRecord)


def one_with_item(rows: QuerySet[RowT], what: str) -> RowT:
    """Return the only record of the rows with its item. Raises NotKnown."""
    record = rows.select_related("item__collected_by", "item__container").first()
    return known(record, what)


def items_of(case: Case) -> list[Item]:
    """Return the case's items by number, withdrawn ones too."""
    return list(Item.objects.filter(case=case).order_by("number"))
