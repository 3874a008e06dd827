"""Stating cause and manner."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change, refuse_wrong
from cases.certification.items import (
    CERTIFIER_FIELDS,
    DEATH_FIELDS,
    INJURY_FIELDS,
    OTHER_FIELDS,
    wrong_in_items,
)
from cases.certification.models import Certification, RegistrarStatement
from cases.certification.rules import needs_reason
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import StaleRecord
from me_office.audit.fields import entered, said_of, set_fields
from me_office.audit.records import require_reason, require_version, save_new, save_next_version
from me_office.entries import Entry

FIELDS = (
    *(f"{name}_{letter}" for letter in "abcd" for name in ("cause", "interval")),
    "contributing",
    "manner",
    *DEATH_FIELDS,
    *OTHER_FIELDS,
    *INJURY_FIELDS,
    *CERTIFIER_FIELDS,
    "basis",
)


@action
def state_cause_and_manner(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Certification:
    """State, or change, the opinion on cause and manner. Version 0 states it for the first time.

    Changing a manner that was stated needs a reason, and so does any change of what was stated to
    the registrar. Raises NotAllowed, StaleRecord, Invalid,
    Refused.
    """
    entry = entered(Certification, entry, FIELDS)
    case = case_to_change(actor, Act.CERTIFY, case_id)
    standing = Certification.objects.filter(case=case).select_for_update().first()
    if standing is None:
        standing = Certification(pk=record_id, case=case, stated_by=actor, stated_at=timezone.now())
        set_fields(standing, entry, FIELDS)
        _check_items(standing)
        return save_new(actor, standing)
    if version == 0 and standing.pk != record_id:
        raise StaleRecord(standing)
    if version == 0 and _says(standing, entry):
        return standing
    require_version(standing, version)
    becomes = str(entry.get("manner", standing.manner))
    if needs_reason(standing.manner, becomes) or _was_stated_otherwise(standing, entry):
        require_reason(reason)
    set_fields(standing, entry, FIELDS)
    _check_items(standing)
    standing.stated_by, standing.stated_at = actor, timezone.now()
    return save_next_version(actor, standing)


def _was_stated_otherwise(record: Certification, entry: Entry) -> bool:
    """Tell whether a change concerns items that were stated to the registrar."""
    changes = any(
        name in entry and getattr(record, name) != entry[name] for name in FIELDS if name != "basis"
    )
    stated = RegistrarStatement.objects.active().filter(case_id=record.case_id)
    return changes and stated.exists()


def _check_items(record: Certification) -> None:
    said = said_of(record, FIELDS)
    sex = record.case.decedent.sex
    refuse_wrong(wrong_in_items(said, sex=sex, today=timezone.localdate()))


def _says(record: Certification, entry: Entry) -> bool:
    return all(getattr(record, name) == entry[name] for name in FIELDS if name in entry)
