"""Specimens for these tests and those of custody."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from cases.models import Case
from evidence.custody.actions import break_seal
from evidence.custody.models import Seal
from evidence.specimens import actions
from evidence.specimens.models import Specimen
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.builders import MOMENT


def specimen_entry(collector: Staff, **fields: Any) -> dict[str, Any]:
    """What a specimen is, its seal and its first transfer."""
    return {
        "material": "Blood",
        "site": "Right femoral vein",
        "amount": "8.5",
        "unit": "mL",
        "container": "Gray-top tube",
        "preservative": "Sodium fluoride",
        "purpose": "toxicology",
        "collected_at": MOMENT,
        "collected_by": collector,
        "seal_number": "TC 0417",
        "to_party": "Specimen refrigerator 2",
        "handed_over_at": MOMENT + timedelta(minutes=20),
        "transfer_place": "Examination room",
        "transfer_purpose": "storage",
        **fields,
    }


def take(actor: Staff, case: Case, *, record_id: UUID | None = None, **fields: Any) -> Specimen:
    """Take a specimen as a page or the API would."""
    return actions.take_specimen(
        actor,
        case_id=case.pk,
        record_id=record_id or new_id(),
        entry=specimen_entry(actor, **fields),
    )


def break_open(actor: Staff, seal: Seal) -> Seal:
    """Break a seal for sampling, an hour after the moment of the tests."""
    entry = {"broken_at": MOMENT + timedelta(hours=1), "broken_why": "sampling"}
    return break_seal(actor, case_id=seal.case_id, seal_id=seal.pk, version=1, entry=entry)


def fill_with_specimens(actor: Staff, case: Case, how_many: int) -> None:
    """Take one specimen; copy its rows, past the actions, until there are `how_many`."""
    specimen = take(actor, case, seal_number=f"{case.pk} 1")
    item, seal, transfer = specimen.item, specimen.item.seals.get(), specimen.item.transfers.get()
    for number in range(2, how_many + 1):
        item.pk, item.number, seal.number = new_id(), number, f"{case.pk} {number}"
        for row in (item, specimen, seal, transfer):
            if row is not item:
                row.pk, row.item = new_id(), item
            row.save(force_insert=True)
