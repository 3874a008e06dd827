"""Reads of custody: who held what, when, under which seal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from cases.models import Case
from evidence.custody.models import AgencyReceipt, Seal, Transfer
from evidence.custody.rules import Chain, Handover, SealLife, custody_chain
from evidence.items.models import Item
from me_office.audit.errors import NotKnown, known


@dataclass(frozen=True)
class Moment:
    """One line of an item's time line."""

    at: datetime
    kind: str  # "transfer", "sealed", "seal broken"
    record: Any
    digest: Seal | None = None  # of the file, where the transfer is its passing into the store


@dataclass(frozen=True)
class ItemCustody:
    """An item with its seals, its transfers and what they come to."""

    item: Item
    chain: Chain
    seals: Sequence[Seal] = field(default_factory=list)
    transfers: Sequence[Transfer] = field(default_factory=list)
    withdrawn: Sequence[Seal | Transfer] = field(default_factory=list)

    @property
    def closing_seal(self) -> Seal | None:
        """The seal that closes the item now."""
        return next((seal for seal in reversed(self.seals) if seal.broken_at is None), None)

    @property
    def receipt(self) -> AgencyReceipt | None:
        """The receipt against which an agency holds the item now."""
        return self.transfers[-1].receipt if self.transfers else None

    @property
    def moments(self) -> list[Moment]:
        """Seals and transfers in the order in which they happened, one line an act.

        A file's digest is computed while it passes into the store: that is told with the passing.
        """
        stored = {seal.applied_at: seal for seal in self.seals if seal.kind == "digest"}
        with_digest = {line.pk: stored.pop(line.at) for line in self.transfers if line.at in stored}
        told = {seal.pk for seal in with_digest.values()}
        lines = [
            Moment(seal.applied_at, "sealed", seal) for seal in self.seals if seal.pk not in told
        ]
        lines += [
            Moment(seal.broken_at, "seal broken", seal) for seal in self.seals if seal.broken_at
        ]
        lines += [
            Moment(line.at, "transfer", line, with_digest.get(line.pk)) for line in self.transfers
        ]
        order = {"seal broken": 0, "sealed": 1, "transfer": 2}
        return sorted(lines, key=lambda line: (line.at, order[line.kind], line.record.pk))


def custody_record(case: Case) -> list[ItemCustody]:
    """Return every item of a case with its custody, by item number, in three statements.

    Withdrawn items are there too (`item.is_voided`): their numbers must be accounted for.
    """
    items = list(
        Item.objects.filter(case=case)
        .select_related("collected_by", "photograph", "specimen", "container", "kit", "property")
        .order_by("number")
    )
    return _with_custody(items)


def custody_by_item(items: Sequence[Item]) -> dict[UUID, ItemCustody]:
    """Return the custody of each of several items, in two statements."""
    return {custody.item.pk: custody for custody in _with_custody(items)}


def custody_of(item: Item) -> ItemCustody:
    """Return one item's custody."""
    return _with_custody([item])[0]


def item_custody(case: Case, item_id: UUID) -> ItemCustody:
    """Return the custody of an item of the case. Raises NotKnown."""
    item = (
        Item.objects.filter(case=case, pk=item_id)
        .select_related("collected_by", "photograph", "specimen", "property", "container", "kit")
        .first()
    )
    if item is None:
        raise NotKnown("There is no such item in this case.")
    return custody_of(item)


def _with_custody(items: Sequence[Item]) -> list[ItemCustody]:
    # A part of a kit is where the kit is, under the kit's seal.
    keys = [item.container_id or item.pk for item in items]
    seals: dict[UUID, list[Seal]] = defaultdict(list)
    for seal in Seal.objects.filter(item__in=keys).order_by("applied_at", "id"):
        seals[seal.item_id].append(seal)
    transfers: dict[UUID, list[Transfer]] = defaultdict(list)
    for transfer in (
        Transfer.objects.filter(item__in=keys).select_related("receipt").order_by("at", "id")
    ):
        transfers[transfer.item_id].append(transfer)
    return [
        _custody(item, seals[key], transfers[key]) for item, key in zip(items, keys, strict=True)
    ]


def _custody(item: Item, seals: Sequence[Seal], transfers: Sequence[Transfer]) -> ItemCustody:
    active_seals = [seal for seal in seals if not seal.is_voided]
    standing = [transfer for transfer in transfers if not transfer.is_voided]
    withdrawn: list[Seal | Transfer] = [seal for seal in seals if seal.is_voided]
    withdrawn += [transfer for transfer in transfers if transfer.is_voided]
    chain = custody_chain(_handovers(standing), _lives(active_seals))
    return ItemCustody(item, chain, active_seals, standing, withdrawn)


def _handovers(transfers: Iterable[Transfer]) -> list[Handover]:
    return [
        Handover(each.from_party, each.to_party, each.at, each.seal_state) for each in transfers
    ]


def _lives(seals: Iterable[Seal]) -> list[SealLife]:
    return [SealLife(seal.number, seal.applied_at, seal.broken_at) for seal in seals]


def chain_parts(item: Item) -> tuple[list[Handover], list[SealLife]]:
    """Return an item's active transfers and seals as the rules take them."""
    transfers = Transfer.objects.active().filter(item=item).order_by("at", "id")
    seals = Seal.objects.active().filter(item=item).order_by("applied_at", "id")
    return _handovers(transfers), _lives(seals)


def parts_of(item: Item) -> list[Item]:
    """Return what lies in a kit or tray, by item number, withdrawn parts left out."""
    return list(Item.objects.filter(container=item, voided_at=None).order_by("number"))


def has_left_office(item: Item) -> bool:
    """Tell whether an agency holds the item against a receipt."""
    last = Transfer.objects.active().filter(item=item).order_by("at", "id").last()
    return last is not None and last.receipt_id is not None


def item_for_update(case: Case, item_id: UUID) -> Item:
    """Return an item of the case, locked. Raises NotKnown."""
    item: Item | None = Item.objects.select_for_update().filter(case=case, pk=item_id).first()
    return known(item, "item")


def seal_for_update(case: Case, seal_id: UUID) -> Seal:
    """Return a seal of the case, locked. Raises NotKnown."""
    seal: Seal | None = Seal.objects.select_for_update().filter(case=case, pk=seal_id).first()
    return known(seal, "seal")


def transfer_for_update(case: Case, transfer_id: UUID) -> Transfer:
    """Return a transfer of the case, locked. Raises NotKnown."""
    transfer: Transfer | None = (
        Transfer.objects.select_for_update().filter(case=case, pk=transfer_id).first()
    )
    return known(transfer, "transfer")


def seal_of(case: Case, seal_id: UUID) -> Seal:
    """Return a seal of the case. Raises NotKnown."""
    seal: Seal | None = Seal.objects.filter(case=case, pk=seal_id).first()
    return known(seal, "seal")


def transfer_of(case: Case, transfer_id: UUID) -> Transfer:
    """Return a transfer of the case. Raises NotKnown."""
    transfer: Transfer | None = Transfer.objects.filter(case=case, pk=transfer_id).first()
    return known(transfer, "transfer")
