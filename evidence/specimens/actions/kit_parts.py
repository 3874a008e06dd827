"""Parts that were recorded in the wrong kit: into another kit, or by themselves.

What is corrected is the record. A part that was in the kit and is taken out of it later is another
matter: custody tells of the kit's seal that was broken, and of what was taken as a new specimen.
"""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from evidence.custody.opening import close_and_hand_over, require_active
from evidence.custody.queries import has_left_office
from evidence.items import kinds
from evidence.items.models import Item
from evidence.specimens import queries
from evidence.specimens.models import Specimen
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused
from me_office.audit.records import require_reason, require_version, save_next_version
from me_office.entries import Entry
from me_office.shell.templatetags.office import moment


@action
def move_part(
    actor: Staff,
    *,
    case_id: UUID,
    specimen_id: UUID,
    version: int,
    kit_id: UUID,
    label: str = "",
    reason: str,
) -> Specimen:
    """Put a part that was recorded in the wrong kit into the kit that it is in.

    `label` is its label there, else the one it has. Raises NotKnown, NotAllowed, StaleRecord,
    Refused, Invalid.
    """
    case, specimen, item = _part(actor, case_id, specimen_id, version)
    why = require_reason(reason)
    kit = queries.kit_for_update(case, kit_id)
    require_active(kit, "kit")
    if kit.item_id == item.container_id:
        raise Refused("It is recorded in this kit.", field="kit")
    _require_here(kit.item)
    specimen.label = " ".join(label.split()) or specimen.label
    try:
        kinds.check_parts(
            [
                *({"label": one.label} for one in queries.specimens_in(kit) if not one.is_voided),
                {"label": specimen.label},
            ]
        )
    except Invalid as error:
        raise Invalid({"label": error.errors["parts"]}) from error
    return _correct(actor, specimen, item, why, container=kit.item)


@action
def take_part_out(
    actor: Staff, *, case_id: UUID, specimen_id: UUID, version: int, entry: Entry, reason: str
) -> Specimen:
    """Keep a part that was never in its kit by itself, under its own seal.

    `entry`: collected_at, collected_by, seal_number, to_party or to_staff, handed_over_at,
    transfer_place, transfer_purpose, as for a specimen that is taken. Raises NotKnown, NotAllowed,
    StaleRecord, Refused, Invalid.
    """
    _, specimen, item = _part(actor, case_id, specimen_id, version)
    why = require_reason(reason)
    specimen.label = ""
    item.collected_at = entry.get("collected_at") or item.collected_at
    item.collected_by = entry.get("collected_by") or item.collected_by
    saved = _correct(actor, specimen, item, why, container=None)
    close_and_hand_over(actor, item, entry)
    return saved


def _part(
    actor: Staff, case_id: UUID, specimen_id: UUID, version: int
) -> tuple[Case, Specimen, Item]:
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
    specimen = queries.specimen_for_update(case, specimen_id)
    require_version(specimen, version)
    require_active(specimen, "specimen")
    item = Item.objects.select_for_update(of=("self",)).get(pk=specimen.item_id)
    specimen.item = item
    if item.container is None:
        raise Refused("It is no part of a kit or tray.")
    _require_here(item.container)
    return case, specimen, item


def _require_here(kit: Item) -> None:
    # A receipt lists the parts that an agency took: they change after the kit came back.
    if has_left_office(kit):
        raise Refused(f"Item {kit.number} is with an agency: record its return first.")


def _correct(
    actor: Staff, specimen: Specimen, item: Item, why: str, *, container: Item | None
) -> Specimen:
    before = item.container
    number = before.number if before else ""
    said = f"Recorded in item {number} until {moment(timezone.now())}: {why}"
    item.kit_correction = "\n".join(part for part in (item.kit_correction, said) if part)
    item.container = container
    saved = save_next_version(actor, specimen)
    item.title = str(specimen)[:160]
    save_next_version(actor, item)
    return saved
