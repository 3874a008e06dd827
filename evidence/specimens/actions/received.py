"""Receiving a specimen that others took: a hospital before death, an ambulance, the police."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from evidence.custody.models import Transfer
from evidence.custody.opening import (
    apply_first_seal,
    as_the_form_names_it,
    open_item,
    require_opened_so,
)
from evidence.items import kinds
from evidence.items.models import Item
from evidence.specimens.actions.specimens import DESCRIBED, OF_OTHERS, require_site_asked
from evidence.specimens.models import Specimen
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

SEAL_NAMES = {"number": "seal_number", "number_repeats": "seal_number_repeats"}
TRANSFER_NAMES = {"at": "received_at", "place": "received_place", "from_party": "received_from"}


@action
def receive_specimen(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> Specimen:
    """Record a specimen that others took, with its transfer to the actor and its seal.

    `entry`: as for a specimen that is taken; origin (not the office), taken_by, taken_where,
    label_time (as on the label), taken_at (None where the label bears none), received_from,
    received_at, received_place; came_sealed, seal_number, seal_number_repeats and, where it came
    unsealed, sealed_at.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
    said = {name: entry[name] for name in (*DESCRIBED, *OF_OTHERS, "origin") if name in entry}
    specimen = Specimen(pk=record_id, case=case, **said)
    there = recorded_before(specimen, assigned=("item",))
    if there is not None:
        names = {**SEAL_NAMES, **TRANSFER_NAMES}
        require_opened_so(there, entry, names=names, collected="taken_at")
        return there
    received_at, sealed_at = _times(case, entry)
    require_site_asked(specimen)
    taken = {"collected_at": entry.get("taken_at"), "collected_by": None}
    specimen.item = open_item(actor, case, kind="specimen", title=str(specimen), entry=taken)
    save_new(actor, specimen, own_key=True)
    _receive_and_close(actor, specimen, entry, received_at=received_at, sealed_at=sealed_at)
    return specimen


def _times(case: Case, entry: Entry) -> tuple[datetime, datetime | None]:
    received_at: datetime | None = entry.get("received_at")
    if received_at is None:
        raise Refused("Say when it was received.", field="received_at")
    sealed_at: datetime | None = None if entry.get("came_sealed") else entry.get("sealed_at")
    if sealed_at is None and not entry.get("came_sealed"):
        raise Refused("Say when it was sealed, or that it arrived sealed.", field="sealed_at")
    report = getattr(case, "report_of_death", None)
    kinds.check_received(
        origin=str(entry.get("origin") or ""),
        taken_at=entry.get("taken_at"),
        received_at=received_at,
        sealed_at=sealed_at,
        pronounced_at=report.pronounced_at if report else None,
        now=timezone.now(),
    )
    return received_at, sealed_at


def _receive_and_close(
    actor: Staff,
    specimen: Specimen,
    entry: Entry,
    *,
    received_at: datetime,
    sealed_at: datetime | None,
) -> None:
    item: Item = specimen.item
    with as_the_form_names_it(SEAL_NAMES):
        apply_first_seal(
            actor,
            item,
            entry,
            at=sealed_at or entry.get("taken_at") or received_at,
            by=str(actor) if sealed_at else specimen.taken_by[:120],
        )
    with as_the_form_names_it(TRANSFER_NAMES):
        save_new(
            actor,
            Transfer(
                case=item.case,
                item=item,
                from_party=specimen.received_from,
                to_party=str(actor),
                to_staff=actor,
                at=received_at,
                place=str(entry.get("received_place") or "").strip(),
                purpose="received from others",
                seal_state="none" if sealed_at else "intact",
            ),
            own_key=True,
        )
