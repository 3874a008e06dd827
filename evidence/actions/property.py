"""Recording, describing and withdrawing property."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from cases import access
from cases.access import Act
from cases.queries import case_for_update
from evidence import queries
from evidence.actions.items import close_and_hand_over, open_item, require_standing, void_item
from evidence.models import Item, PropertyItem
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)

DESCRIBED = ("description", "found_at", "witnessed_by")


@action
def record_property(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, Any], reason: str = ""
) -> PropertyItem:
    """Record a thing of the decedent's with item number, numbered seal and first transfer.

    `entry`: description, found_at, witnessed_by; then as for a specimen: collected_at,
    collected_by, seal_number, to_party or to_staff, handed_over_at, transfer_place,
    transfer_purpose.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.HOLD_PROPERTY, case)
    held = PropertyItem(
        pk=record_id, case=case, **{name: entry[name] for name in DESCRIBED if name in entry}
    )
    there = recorded_before(held, assigned=("item",))
    if there is not None:
        return there
    held.item = open_item(actor, case, kind="property", title=_title(held), entry=entry)
    save_new(actor, held)
    close_and_hand_over(actor, held.item, entry)
    return held


def _title(held: PropertyItem) -> str:
    return held.description.strip().splitlines()[0] if held.description.strip() else "Property"


@action
def describe_property(
    actor: Staff,
    *,
    case_id: UUID,
    property_id: UUID,
    version: int,
    entry: Mapping[str, Any],
    reason: str,
) -> PropertyItem:
    """Correct what is said about a thing; it says why, because it is sealed by then.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.HOLD_PROPERTY, case)
    held = queries.property_for_update(case, property_id)
    require_version(held, version)
    require_standing(held, "item")
    require_reason(reason)
    for name in DESCRIBED:
        if name in entry:
            setattr(held, name, entry[name])
    save_next_version(actor, held)
    item = Item.objects.select_for_update().get(pk=held.item_id)
    item.title = _title(held)[:160]
    save_next_version(actor, item)
    return held


@action
def void_property(
    actor: Staff, *, case_id: UUID, property_id: UUID, version: int, reason: str
) -> PropertyItem:
    """Withdraw a thing and its item; seals and transfers stay on record.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.HOLD_PROPERTY, case)
    held = queries.property_for_update(case, property_id)
    require_version(held, version)
    why = require_reason(reason)
    voided = void(actor, held, reason=why)
    void_item(actor, held.item, reason=why)
    return voided
