"""What a court ruled on exhibits: recorded, corrected, withdrawn."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_voided,
    refuse_wrong,
    withdraws,
)
from cases.exhibits import queries
from cases.exhibits.models import ExhibitRuling
from cases.exhibits.rulings import wrong_ruling
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

RULING_FIELDS = names_entered(ExhibitRuling)


@action
def record_ruling(
    actor: Staff,
    *,
    case_id: UUID,
    exhibit_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> ExhibitRuling:
    """Record what was ruled on an exhibit. `entry` holds RULING_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    exhibit = queries.exhibit_for_update(case, exhibit_id)
    made = ExhibitRuling(pk=record_id, case=case, exhibit=exhibit)
    set_fields(made, entry, RULING_FIELDS)
    # Recorded while the exhibit was in its set: a retry gets its answer, whatever came since.
    there = recorded_before(made)
    if there is not None:
        return there
    if exhibit.is_voided:
        raise Refused("This exhibit was removed from its set.")
    _check(made)
    return save_new(actor, made, own_key=True)


@action
def change_ruling(
    actor: Staff, *, case_id: UUID, ruling_id: UUID, version: int, entry: Entry, reason: str
) -> ExhibitRuling:
    """Correct what was recorded of a ruling, with the reason; a later ruling is its own record.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    changed = queries.ruling_for_update(case, ruling_id)
    require_version(changed, version)
    refuse_voided(changed)
    require_reason(reason)
    set_fields(changed, entry, RULING_FIELDS)
    _check(changed)
    return save_next_version(actor, changed)


# What should not have been recorded.
void_ruling = withdraws(
    "void_ruling", Act.PREPARE_EXHIBITS, queries.ruling_for_update, key="ruling_id"
)


def _check(one: ExhibitRuling) -> None:
    refuse_wrong(
        wrong_ruling(
            ruling=one.ruling,
            purpose=one.purpose,
            objected_by=one.objected_by,
            ground=one.ground,
            on_day=one.on_day,
            today=timezone.localdate(),
        )
    )
