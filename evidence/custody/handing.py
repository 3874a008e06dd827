"""Items handed to the police or another agency against a receipt, and receipts withdrawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from evidence.custody import queries, receipts, rules
from evidence.custody.models import AgencyReceipt, Transfer
from evidence.items.models import Item
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

SAID = (
    "agency", "received_by", "identification", "agency_case_number", "second_person", "place",
    "purpose",
)  # fmt: skip


@action
def hand_to_agency(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    items: Sequence[tuple[UUID, int]],
    entry: Entry,
    reason: str = "",
) -> AgencyReceipt:
    """Hand items to an agency against one receipt: a transfer for each, or none at all.

    `items` are keys with the versions that were read; `entry`: agency, received_by,
    identification, agency_case_number, second_person (needed for cash), at, place, purpose.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.TRANSFER_ITEM, case_id)
    said = {name: str(entry.get(name) or "").strip() for name in SAID}
    at: Any = entry.get("at")
    receipt = AgencyReceipt(pk=record_id, case=case, given_by=actor, at=at, **said)
    wanted = dict(items)
    there = recorded_before(receipt, assigned=("number",))
    if there is not None:
        if set(there.transfers.values_list("item_id", flat=True)) != set(wanted):
            raise Conflict("A receipt with this key names other items.", record=there)
        return there
    if not wanted:
        raise Refused(rules.NOTHING_CHOSEN, field="items")
    if receipt.at is None:
        raise Refused("Say when they were handed over.", field="at")
    locked = receipts.items_for_update(case, list(wanted))
    rules.check_receipt(
        cash=receipts.holds_cash(list(wanted)),
        second_person=receipt.second_person,
        given_by=str(actor),
        received_by=receipt.received_by,
    )
    receipt.number = _next_number(case)
    save_new(actor, receipt, own_key=True)
    for item in sorted(locked.values(), key=lambda each: each.number):
        require_version(item, wanted[item.pk])
        _hand_over(actor, item, receipt)
    return receipt


def _next_number(case: Case) -> int:
    # The case's row is locked, so that no number is given twice.
    last: int | None = AgencyReceipt.objects.filter(case=case).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def _hand_over(actor: Staff, item: Item, receipt: AgencyReceipt) -> None:
    if item.is_voided:
        raise Refused(f"Item {item.number} was withdrawn.", field="items")
    if item.kind == "photograph":
        raise Refused("Photographs stay in the store; copies are sent.", field="items")
    if item.container_id is not None:
        raise Refused(f"Item {item.number} is part of a kit: hand over the kit.", field="items")
    if queries.has_left_office(item):
        raise Refused(f"Item {item.number} was already handed over.", field="items")
    handovers, seals = queries.chain_parts(item)
    chain = rules.custody_chain(handovers, seals)
    state = rules.seal_state_of(seals)
    giver = chain.holder or str(actor)
    try:
        rules.check_transfer(
            rules.Handover(giver, receipt.party, receipt.at, state),
            handovers,
            seals,
            now=timezone.now(),
        )
    except Refused as error:
        field = error.field if error.field == "at" else "items"
        raise Refused(f"Item {item.number}: {error.message}", field=field) from error
    save_new(
        actor,
        Transfer(
            case=item.case,
            item=item,
            from_party=giver,
            to_party=receipt.party,
            at=receipt.at,
            place=receipt.place,
            purpose=receipt.purpose,
            seal_state=state,
            note=f"Against receipt {receipt.number}",
            receipt=receipt,
        ),
        own_key=True,
    )
    save_next_version(actor, item)


@action
def void_receipt(
    actor: Staff, *, case_id: UUID, receipt_id: UUID, version: int, reason: str
) -> AgencyReceipt:
    """Withdraw a receipt for what was not handed over, with the transfers that stand on it.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.TRANSFER_ITEM, case_id)
    receipt = receipts.receipt_of(case, receipt_id)
    voided = void(actor, receipt, version=version, reason=reason)
    lines = receipts.lines_of(receipt)
    locked = receipts.items_for_update(case, [line.item_id for line in lines])
    for line in lines:
        void(actor, line, reason=reason)
        save_next_version(actor, locked[line.item_id])
    return voided
