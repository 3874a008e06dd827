"""Lividity and rigor by region."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions.parts import Kind
from findings.postmortem.models import Lividity, Rigor
from me_office.accounts.models import Staff
from me_office.audit.actions import action

LIVIDITY_FIELDS = ("region", "state", "colour", "blanching", "note")
RIGOR_FIELDS = ("joint", "stage", "note")
LIVIDITY = Kind(Lividity, LIVIDITY_FIELDS, named="lividity row", voided_as="row")
RIGOR = Kind(Rigor, RIGOR_FIELDS, named="rigor row", voided_as="row")


@action
def record_lividity(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> Lividity:
    """Record the lividity of one region; `entry` takes any of LIVIDITY_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    return LIVIDITY.add(actor, case_id, record_id, entry, reason)


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
    return LIVIDITY.change(actor, case_id, lividity_id, version, entry, reason)


@action
def void_lividity(
    actor: Staff, *, case_id: UUID, lividity_id: UUID, version: int, reason: str
) -> Lividity:
    """Void the lividity of one region. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return LIVIDITY.void(actor, case_id, lividity_id, version, reason)


@action
def record_rigor(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> Rigor:
    """Record the rigor of one joint; `entry` takes any of RIGOR_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    return RIGOR.add(actor, case_id, record_id, entry, reason)


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
    return RIGOR.change(actor, case_id, rigor_id, version, entry, reason)


@action
def void_rigor(actor: Staff, *, case_id: UUID, rigor_id: UUID, version: int, reason: str) -> Rigor:
    """Void the rigor of one joint. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return RIGOR.void(actor, case_id, rigor_id, version, reason)
