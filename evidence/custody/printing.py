"""The receipt for items handed to an agency, as PDF."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.conf import settings

from evidence.custody.models import AgencyReceipt, Transfer
from evidence.custody.queries import ItemCustody, parts_of
from evidence.items.models import Item
from me_office.shell.templatetags.office import moment
from me_office.statements import COMMON_PRACTICE, statement
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "receipt.typ"
CAUTION = statement(
    "custody.agency-receipt",
    "Check each item, its seal and its number before signing. A receipt says who holds an item, "
    "not what it proves. What may be handed over, and to whom, is governed by local law.",
    where="Receipt for an agency",
    source=COMMON_PRACTICE,
).text


def print_receipt(
    receipt: AgencyReceipt,
    lines: Sequence[Transfer],
    custody: Mapping[UUID, ItemCustody],
    *,
    at: datetime,
) -> Typeset:
    """Compile a receipt; `lines` are its transfers, `custody` their items' by key."""
    with tempfile.TemporaryDirectory(prefix="receipt-") as name:
        return typeset(TEMPLATE, Path(name), receipt_values(receipt, lines, custody, at=at), at=at)


def receipt_values(
    receipt: AgencyReceipt,
    lines: Sequence[Transfer],
    custody: Mapping[UUID, ItemCustody],
    *,
    at: datetime,
) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    withdrawn = f"Withdrawn: {receipt.void_reason}" if receipt.is_voided else ""
    people = [("Handed over by", receipt.given_by.printed_name)]
    if receipt.second_person:
        people.append(("Second person", receipt.second_person))
    people.append(("Received by", receipt.received_by))
    return {
        "title": f"Receipt {receipt.number}",
        "office": settings.OFFICE_NAME,
        "case": receipt.case.label,
        "agency": receipt.agency,
        "withdrawn": withdrawn,
        "sentence": f"The office handed the items below to {receipt.agency} on "
        f"{moment(receipt.at)}. Its custody of them ended then.",
        "facts": [
            ["Received by", f"{receipt.received_by}, {receipt.agency}"],
            ["Identification seen", receipt.identification],
            ["Agency case number", receipt.agency_case_number or "none given"],
            ["Place", receipt.place],
            ["Purpose", receipt.purpose],
            ["Handed over by", receipt.given_by.printed_name],
            *([["Second person", receipt.second_person]] if receipt.second_person else []),
        ],
        "items": [_line(line, custody[line.item_id]) for line in lines],
        "signatures": people,
        "printed": moment(at),
        "caution": CAUTION,
    }


def _line(line: Transfer, custody: ItemCustody) -> list[str]:
    item = line.item
    return [str(item.number), what_it_is(item), described(item), seal_words(line, custody)]


def what_it_is(item: Item) -> str:
    """Name what an item is: ammunition component or projectile (evidence)."""
    if item.kind == "specimen":
        return "specimen"
    if item.kind == "kit":
        return "kit or tray"
    thing = getattr(item, "property", None)
    kind = item.get_kind_display()
    if thing is None or thing.get_category_display() == kind:
        return kind
    return f"{thing.get_category_display()} ({kind})"


def described(item: Item) -> str:
    """Describe an item, cash with its count, a kit with its parts."""
    if item.kind == "kit":
        parts = "; ".join(f"item {part.number}: {part.title}" for part in parts_of(item))
        return f"{item.title}\nParts: {parts}"
    thing = getattr(item, "property", None)
    if thing is None:
        return item.title
    counted = f"\nCounted: {thing.cash_words}" if thing.cash_words else ""
    return f"{thing.description}{counted}"


def seal_words(line: Transfer, custody: ItemCustody) -> str:
    """Say how the seal stood when the item was handed over, with its number."""
    numbers = [
        seal.number
        for seal in custody.seals
        if seal.applied_at <= line.at and (seal.broken_at is None or line.at < seal.broken_at)
    ]
    if line.seal_state == "intact" and numbers:
        return f"{numbers[-1]}, intact"
    return {"none": "not sealed", "broken": "seal broken before"}.get(line.seal_state, "intact")
