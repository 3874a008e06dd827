"""Recording a date in court, moving and canceling it, and saying how it went."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import (
    case_of,
    case_to_change,
    names_entered,
    refuse_wrong,
    require_standing,
    save_as,
)
from cases.appearances import queries
from cases.appearances.models import Appearance, AppearanceMove
from cases.appearances.rules import (
    AppearanceState,
    is_ahead,
    why_not_kept,
    wrong_in_appearance,
    wrong_in_testimony,
)
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, NotAllowed, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

NAMES = names_entered(Appearance)
# A date that was recorded is moved, with the reason; the rest of it is corrected.
MOVED_NAMES = ("begins_at", "leave_at", "place")
CORRECTED_NAMES = tuple(name for name in NAMES if name != "begins_at")
TESTIMONY_NAMES = ("stand_minutes", "went", "asked_afterward")
# What came after it was recorded does not make a retried request another one.
NOT_COMPARED = (
    *("state", "canceled_why", *TESTIMONY_NAMES),
    *("asked_settled", "asked_settled_at", "asked_settled_by"),
    *VOIDING,
)


def keeps_all(actor: Staff) -> bool:
    """Tell whether a person keeps the dates of everybody in the office."""
    return actor.has_role(Role.RECORDS_CLERK, Role.SUPERVISOR)


@action
def record_appearance(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Appearance:
    """Record when somebody is to testify; a later version corrects it while it lies ahead.

    `entry` holds NAMES; when it begins is changed by moving it alone.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.KEEP_APPEARANCE, case_id)
    if version:
        record = queries.appearance_for_update(case, record_id)
        _require_ahead(actor, record, version)
        if entry.get("begins_at", record.begins_at) != record.begins_at:
            raise Refused("Move it, with the reason, to change when it begins.", field="begins_at")
        set_fields(record, entry, CORRECTED_NAMES)
    else:
        record = Appearance(pk=record_id, case=case)
        set_fields(record, entry, NAMES)
        there = recorded_before(record, assigned=NOT_COMPARED)
        if there is not None:
            return there
    _check(actor, case, record)
    return save_as(actor, record, version)


@action
def move_appearance(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str
) -> Appearance:
    """Move a date to another time; the earlier one stays beside it with the reason.

    `entry` holds MOVED_NAMES. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.KEEP_APPEARANCE, case_id)
    record = queries.appearance_for_update(case, record_id)
    _require_ahead(actor, record, version)
    earlier = AppearanceMove(
        pk=new_id(),
        case=case,
        appearance=record,
        began_at=record.begins_at,
        place=record.place,
        why=require_reason(reason),
    )
    if "begins_at" not in set_fields(record, entry, MOVED_NAMES):
        raise Refused("This is when it begins already.", field="begins_at")
    _check(actor, case, record)
    record.state = AppearanceState.MOVED.value
    save_new(actor, earlier, own_key=True)
    return save_next_version(actor, record)


@action
def cancel_appearance(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
) -> Appearance:
    """Note that a date will not take place, with the reason.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    record = _own_appearance(actor, case_id, record_id)
    _require_ahead(actor, record, version)
    record.canceled_why = require_reason(reason)
    record.state = AppearanceState.CANCELED.value
    return save_next_version(actor, record)


@action
def record_testimony(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Appearance:
    """Say that it took place, how long the witness was on the stand and what was asked for.

    `entry` holds TESTIMONY_NAMES. Said once more, it is a correction and needs its reason.
    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    record = _own_appearance(actor, case_id, record_id)
    require_standing(record, version)
    if record.state == AppearanceState.CANCELED:
        raise Refused("It was canceled. Record another date if it took place after all.")
    if record.state == AppearanceState.DONE:
        require_reason(reason)
    wrong = wrong_in_testimony(entry, begins=record.begins_at, now=timezone.now())
    if "__all__" in wrong:
        raise Refused(wrong["__all__"][0])
    if wrong:
        raise Invalid(wrong)
    changed = set_fields(record, entry, TESTIMONY_NAMES)
    if "asked_afterward" in changed:
        # What was done was done about other words.
        record.asked_settled, record.asked_settled_at, record.asked_settled_by = "", None, None
    record.state = AppearanceState.DONE.value
    return save_next_version(actor, record)


@action
def settle_asked(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, settled: str
) -> Appearance:
    """Say what was done about what was asked for in court; it leaves the first pages.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    record = _own_appearance(actor, case_id, record_id)
    require_standing(record, version)
    if not record.asks_for_something:
        raise Refused("Nothing that was asked for is open here.")
    if not settled.strip():
        raise Refused("Say what was done, or why nothing is.", field="settled")
    record.asked_settled = settled.strip()
    record.asked_settled_at = timezone.now()
    record.asked_settled_by = actor
    return save_next_version(actor, record)


@action
def void_appearance(
    actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
) -> Appearance:
    """Withdraw a date that was recorded by mistake.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    within = case_of(Appearance, record_id, within=case_id)
    return void(actor, _own_appearance(actor, within, record_id), version=version, reason=reason)


def _own_appearance(actor: Staff, case_id: UUID, record_id: UUID) -> Appearance:
    """Return a date that the person may change, locked. Raises NotKnown, NotAllowed."""
    case = case_to_change(actor, Act.KEEP_APPEARANCE, case_id)
    record = queries.appearance_for_update(case, record_id)
    _require_own(actor, record)
    return record


def _require_ahead(actor: Staff, record: Appearance, version: int) -> None:
    _require_own(actor, record)
    require_standing(record, version)
    if not is_ahead(record.state):
        raise Refused(f"It is {record.state} and can no longer be changed.")


def _require_own(actor: Staff, record: Appearance) -> None:
    why_not = why_not_kept(keeps_all=keeps_all(actor), own=record.witness_id == actor.pk)
    if why_not:
        raise NotAllowed(why_not)


def _check(actor: Staff, case: Case, record: Appearance) -> None:
    refuse_wrong(wrong_in_appearance(said_of(record, _PLAIN)))
    if record.witness_id is None:
        raise Invalid({"witness": ["Say who goes."]})
    _require_own(actor, record)
    witness = record.witness
    if not access.decision_on(witness, Act.SEE, case).allowed:
        raise Refused(f"This case is not open to {witness}.", field="witness")
    for name, what in (("request", "request"), ("exhibit_set", "exhibit set")):
        chosen = getattr(record, name)
        if chosen is not None and chosen.case_id != case.pk:
            raise Refused(f"This {what} belongs to another case.", field=name)


_PLAIN = ("kind", "begins_at", "leave_at", "court", "expected_minutes")
