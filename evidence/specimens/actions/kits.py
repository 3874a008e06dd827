"""Kits and trays: several specimens taken, sealed and handed on as one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from evidence.custody.opening import (
    close_and_hand_over,
    open_item,
    require_opened_so,
    void_item,
    void_with_item,
)
from evidence.items import kinds
from evidence.items.models import Item
from evidence.specimens.actions.specimens import require_site_asked
from evidence.specimens.models import Kit, Specimen
from evidence.specimens.queries import kit_for_update, specimens_in
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict
from me_office.audit.records import recorded_before, save_new, void
from me_office.audit.tidy import tidy
from me_office.entries import Entry

OF_A_PART = ("label", "material", "site", "amount", "unit")
OF_ALL = ("container", "preservative", "purpose")


@action
def record_kit(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    parts: Sequence[Mapping[str, Any]],
    reason: str = "",
) -> Kit:
    """Record a kit or tray with its parts, each with the next item number, under one seal.

    `entry`: kind, description; container, preservative and purpose of every part; site_reason, for
    those whose site is asked about; then as for a
    specimen: collected_at, collected_by, seal_number, to_party or to_staff, handed_over_at,
    transfer_place, transfer_purpose. `parts`, in their order: label, material, site, amount, unit.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
    kit = Kit(
        pk=record_id,
        case=case,
        kind=entry.get("kind") or "",
        description=str(entry.get("description") or "").strip(),
    )
    there = recorded_before(kit, assigned=("item",))
    if there is not None:
        made = [_said(each) for each in specimens_in(there)]
        if made != [_said(_part(there, each, entry)) for each in parts]:
            raise Conflict("A kit with this key has other parts.", record=there)
        require_opened_so(there, entry)
        return there
    kinds.check_parts(parts)
    kit.item = open_item(actor, case, kind="kit", title=str(kit), entry=entry)
    save_new(actor, kit, own_key=True)
    for part in parts:
        _take(actor, kit, part, entry)
    close_and_hand_over(actor, kit.item, entry)
    return kit


def _part(kit: Kit, part: Mapping[str, Any], entry: Entry) -> Specimen:
    said = {name: part[name] for name in OF_A_PART if part.get(name) is not None}
    said |= {name: entry.get(name) or "" for name in OF_ALL}
    return Specimen(case=kit.case, site_reason=entry.get("site_reason") or "", **said)


def _take(actor: Staff, kit: Kit, part: Mapping[str, object], entry: Entry) -> None:
    specimen = _part(kit, part, entry)
    require_site_asked(specimen)
    specimen.item = open_item(
        actor, kit.case, kind="specimen", title=str(specimen), entry=entry, container=kit.item
    )
    save_new(actor, specimen, own_key=True)


def _said(specimen: Specimen) -> tuple[Any, ...]:
    """Return what a part says, as it is kept."""
    tidy(specimen)
    names = (*OF_A_PART, *OF_ALL)
    return tuple(
        field.to_python(getattr(specimen, field.attname) or None)
        for field in specimen._meta.concrete_fields
        if field.name in names
    )


@action
def void_kit(actor: Staff, *, case_id: UUID, kit_id: UUID, version: int, reason: str) -> Kit:
    """Withdraw a kit with its parts; seals and transfers stay on record.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
    kit = kit_for_update(case, kit_id)
    void_with_item(actor, kit, version=version, reason=reason)
    for specimen in specimens_in(kit):
        if not specimen.is_voided:
            void(actor, specimen, reason=reason)
            void_item(actor, Item.objects.get(pk=specimen.item_id), reason=reason)
    return kit
