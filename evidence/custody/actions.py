"""Seals applied and broken, transfers recorded and withdrawn."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from evidence.custody import queries, rules
from evidence.custody.models import Seal, Transfer
from evidence.custody.numbers import require_number_asked
from evidence.items.models import Item
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry


@action
def record_transfer(
    actor: Staff,
    *,
    case_id: UUID,
    item_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Transfer:
    """Record that an item passed from one party to another. `version` is the item's.

    `entry`: from_party (else the holder on record), from_staff, to_party or to_staff, to_where
    (office or outside, of a party in words), at, place, purpose, seal_state, note.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = _open(actor, case_id)
    item = queries.item_for_update(case, item_id)
    transfer = _transfer_of(item, record_id, entry)
    there = recorded_before(transfer)
    if there is not None:
        return there
    require_version(item, version)
    _require_active(item)
    rules.check_moves_alone(item.container_id is not None)
    rules.check_within_office(
        left_office=queries.has_left_office(item), to_staff=transfer.to_staff is not None
    )
    handovers, seals = queries.chain_parts(item)
    rules.check_transfer(
        rules.Handover(transfer.from_party, transfer.to_party, transfer.at, transfer.seal_state),
        handovers,
        seals,
        now=timezone.now(),
    )
    save_new(actor, transfer)
    save_next_version(actor, item)
    return transfer


def _transfer_of(item: Item, record_id: UUID, entry: Entry) -> Transfer:
    giver: Staff | None = entry.get("from_staff")
    taker: Staff | None = entry.get("to_staff")
    from_party = str(entry.get("from_party") or "").strip() or (str(giver) if giver else "")
    to_party = str(entry.get("to_party") or "").strip() or (str(taker) if taker else "")
    if not to_party:
        raise Refused("Say who or what received it.", field="to_party")
    if not from_party:
        # A retried request must read the holder as it was, not the one it made itself.
        made = Transfer.objects.filter(pk=record_id, item=item).first()
        from_party = made.from_party if made else queries.custody_of(item).chain.holder
    if not from_party:
        raise Refused("Say who handed it over.", field="from_party")
    return Transfer(
        pk=record_id,
        case=item.case,
        item=item,
        from_party=from_party,
        from_staff=giver,
        to_party=to_party,
        to_staff=taker,
        to_where="" if taker else str(entry.get("to_where") or ""),
        at=_moment(entry, "at", "Say when it was handed over."),
        place=str(entry.get("place") or "").strip(),
        purpose=str(entry.get("purpose") or "").strip(),
        seal_state=entry.get("seal_state") or "",
        note=str(entry.get("note") or "").strip(),
    )


@action
def void_transfer(
    actor: Staff, *, case_id: UUID, transfer_id: UUID, version: int, reason: str
) -> Transfer:
    """Withdraw a transfer that did not happen as recorded; a gap it leaves is shown.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = _open(actor, case_id)
    transfer = queries.transfer_for_update(case, transfer_id)
    item = queries.item_for_update(case, transfer.item_id)
    require_version(transfer, version)
    if transfer.receipt_id is not None:
        raise Refused("This transfer belongs to a receipt: withdraw the receipt.")
    voided = void(actor, transfer, reason=reason)
    save_next_version(actor, item)
    return voided


@action
def apply_seal(
    actor: Staff,
    *,
    case_id: UUID,
    item_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Seal:
    """Close an item under a numbered seal. `version` is the item's.

    `entry`: number, number_repeats, applied_at, applied_by. A number that an active seal of
    another item bears asks for number_repeats: vendors number alike.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = _open(actor, case_id)
    item = queries.item_for_update(case, item_id)
    seal = Seal(
        pk=record_id,
        case=case,
        item=item,
        kind="numbered",
        number=str(entry.get("number") or "").strip(),
        number_repeats=str(entry.get("number_repeats") or "").strip(),
        applied_at=_moment(entry, "applied_at", "Say when the seal was applied."),
        applied_by=str(entry.get("applied_by") or "").strip() or str(actor),
    )
    there = recorded_before(seal)
    if there is not None:
        return there
    require_version(item, version)
    _require_active(item)
    rules.check_moves_alone(item.container_id is not None)
    if item.kind == "photograph":
        raise Refused("A photograph is sealed by the digest of its file.")
    _, seals = queries.chain_parts(item)
    rules.check_new_seal(seals, applied_at=seal.applied_at, now=timezone.now())
    require_number_asked(seal)
    save_new(actor, seal)
    save_next_version(actor, item)
    return seal


@action
def break_seal(
    actor: Staff, *, case_id: UUID, seal_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Seal:
    """Record who broke a seal, when and why. `version` is the seal's.

    `entry`: broken_at, broken_by (else the actor), broken_why.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = _open(actor, case_id)
    seal = queries.seal_for_update(case, seal_id)
    item = queries.item_for_update(case, seal.item_id)
    require_version(seal, version)
    _require_active(seal)
    why = str(entry.get("broken_why") or "").strip()
    if not why:
        raise Refused("Say why the seal was broken.", field="broken_why")
    broken_at = _moment(entry, "broken_at", "Say when the seal was broken.")
    rules.check_break(
        rules.SealLife(seal.number, seal.applied_at, seal.broken_at),
        seal.kind,
        broken_at=broken_at,
        now=timezone.now(),
    )
    seal.broken_at = broken_at
    seal.broken_by = str(entry.get("broken_by") or "").strip() or str(actor)
    seal.broken_why = why
    save_next_version(actor, seal)
    save_next_version(actor, item)
    return seal


@action
def void_seal(actor: Staff, *, case_id: UUID, seal_id: UUID, version: int, reason: str) -> Seal:
    """Withdraw a seal that was entered wrongly; a digest stays.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = _open(actor, case_id)
    seal = queries.seal_for_update(case, seal_id)
    item = queries.item_for_update(case, seal.item_id)
    require_version(seal, version)
    if seal.kind == "digest":
        raise Refused("The digest of a file is not withdrawn.")
    voided = void(actor, seal, reason=reason)
    save_next_version(actor, item)
    return voided


def _moment(entry: Entry, name: str, lacking: str) -> datetime:
    moment: datetime | None = entry.get(name)
    if moment is None:
        raise Refused(lacking, field=name)
    return moment


def _open(actor: Staff, case_id: UUID) -> Case:
    case = case_to_change(actor, Act.TRANSFER_ITEM, case_id)
    return case


def _require_active(record: Item | Seal) -> None:
    if record.is_voided:
        raise Refused("This was withdrawn and can no longer be changed.")
