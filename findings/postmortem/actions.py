"""Lividity and rigor by region."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions import opened, require_changeable, require_reason_after_end
from findings.postmortem.models import Lividity, Rigor
from findings.postmortem.queries import lividity_for_update, rigor_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.fields import set_fields

LIVIDITY_FIELDS = ("region", "state", "colour", "blanching", "note")
RIGOR_FIELDS = ("joint", "stage", "note")


@action
def record_lividity(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> Lividity:
    """Record the lividity of one region; `entry` takes any of LIVIDITY_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    row = Lividity(pk=record_id, case=case, examination=examination)
    set_fields(row, entry, LIVIDITY_FIELDS, whole=True)
    there = recorded_before(row)
    if there is not None:
        return there
    require_reason_after_end(examination, reason)
    return save_new(actor, row)


@action
def change_lividity(
    actor: Staff,
    *,
    case_id: UUID,
    lividity_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> Lividity:
    """Change the lividity of one region.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    row = lividity_for_update(case, lividity_id)
    require_version(row, version)
    require_changeable(row, "row", examination, reason)
    set_fields(row, entry, LIVIDITY_FIELDS, whole=True)
    return save_next_version(actor, row)


@action
def void_lividity(
    actor: Staff, *, case_id: UUID, lividity_id: UUID, version: int, reason: str
) -> Lividity:
    """Void the lividity of one region. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    row = lividity_for_update(case, lividity_id)
    require_version(row, version)
    return void(actor, row, reason=reason)


@action
def record_rigor(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> Rigor:
    """Record the rigor of one joint; `entry` takes any of RIGOR_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    row = Rigor(pk=record_id, case=case, examination=examination)
    set_fields(row, entry, RIGOR_FIELDS, whole=True)
    there = recorded_before(row)
    if there is not None:
        return there
    require_reason_after_end(examination, reason)
    return save_new(actor, row)


@action
def change_rigor(
    actor: Staff,
    *,
    case_id: UUID,
    rigor_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> Rigor:
    """Change the rigor of one joint. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
    case, examination = opened(actor, case_id)
    row = rigor_for_update(case, rigor_id)
    require_version(row, version)
    require_changeable(row, "row", examination, reason)
    set_fields(row, entry, RIGOR_FIELDS, whole=True)
    return save_next_version(actor, row)


@action
def void_rigor(actor: Staff, *, case_id: UUID, rigor_id: UUID, version: int, reason: str) -> Rigor:
    """Void the rigor of one joint. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    row = rigor_for_update(case, rigor_id)
    require_version(row, version)
    return void(actor, row, reason=reason)
