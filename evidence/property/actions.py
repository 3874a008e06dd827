"""Recording, describing and withdrawing what the office keeps: evidence and personal effects."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from evidence.custody.opening import (
    close_and_hand_over,
    correct_with_item,
    open_item,
    require_correctable,
    require_opened_so,
    voids_with_item,
)
from evidence.items import kinds
from evidence.property import queries
from evidence.property.models import PropertyItem
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

DESCRIBED = (
    "category", "kept_as", "description", "found", "found_at", "finding", "cash_count",
    "cash_currency", "witnessed_by",
)  # fmt: skip


@action
def record_property(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> PropertyItem:
    """Record a thing with item number, numbered seal and first transfer.

    `entry`: category, kept_as, description, found, found_at, finding (of the case, or None),
    witnessed_by, for cash cash_count (as `kinds.count_of_cash` reads it) and cash_currency; then
    as for a specimen: collected_at, collected_by, seal_number, to_party or to_staff,
    handed_over_at, transfer_place, transfer_purpose.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_to_change(actor, Act.HOLD_PROPERTY, case_id)
    held = PropertyItem(
        pk=record_id,
        case=case,
        # What nobody said is not an effect of the decedent's for that.
        **{"category": "", "kept_as": ""}
        | {name: entry[name] for name in DESCRIBED if name in entry},
    )
    there = recorded_before(held, assigned=("item",))
    if there is not None:
        require_opened_so(there, entry)
        return there
    if not held.found:
        raise Refused("Say where it was found.", field="found")
    _check(held, [actor, entry.get("collected_by")])
    held.item = open_item(actor, case, kind=held.kept_as, title=_title(held), entry=entry)
    save_new(actor, held)
    close_and_hand_over(actor, held.item, entry)
    return held


def _check(held: PropertyItem, counted_by: Sequence[Staff | None]) -> None:
    said = said_of(held, DESCRIBED)
    kinds.check_thing(said, counted_by=[str(each) for each in counted_by if each])
    if held.finding is not None and held.finding.case_id != held.case_id:
        raise Refused("There is no such finding in this case.", field="finding")


def _title(held: PropertyItem) -> str:
    return held.description.strip().splitlines()[0] if held.description.strip() else "Property"


@action
def describe_property(
    actor: Staff, *, case_id: UUID, property_id: UUID, version: int, entry: Entry, reason: str
) -> PropertyItem:
    """Correct what is said about a thing; it says why, because it is sealed by then.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.HOLD_PROPERTY, case_id)
    held = queries.property_for_update(case, property_id)
    require_correctable(held, "item", version, reason)
    set_fields(held, entry, DESCRIBED)
    _check(held, [held.created_by, held.item.collected_by])
    return correct_with_item(actor, held, _title(held), kind=held.kept_as)


void_property = voids_with_item(
    "void_property", Act.HOLD_PROPERTY, queries.property_for_update, key="property_id"
)
