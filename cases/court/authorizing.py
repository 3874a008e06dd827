"""Actions on the right of who asks: recorded, checked; and which requests it is asked of."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    own_row,
    require_correction,
    require_for_office,
    save_as,
)
from cases.court.models import Authority, AuthorityNeed
from cases.court.opening import request_to_change
from cases.court.queries import part_for_update
from cases.court.rules import AUTHORITY_ASKED, wrong_in_authority
from cases.models import Person
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, NotKnown, Refused
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

AUTHORITY_FIELDS = names_entered(Authority)
NEED_FIELDS = names_entered(AuthorityNeed)


@action
def record_authority(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Authority:
    """Record by what right somebody asks (version 0), or what became of it, with the reason.

    `entry` holds AUTHORITY_FIELDS. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid,
    Conflict.
    """
    asked = request_to_change(actor, case_id, request_id)
    if version == 0:
        record = Authority(pk=record_id, case=asked.case, request=asked)
        set_fields(record, entry, AUTHORITY_FIELDS)
        there = recorded_before(record)
        if there is not None:
            return there
        if asked.is_voided:
            raise Refused("The request is withdrawn; nothing is added to it.")
    else:
        record = part_for_update(Authority, asked, record_id, "authority")
        require_correction(record, version, reason)
        set_fields(record, entry, AUTHORITY_FIELDS)
    person_id = record.person_id
    if person_id and not Person.objects.filter(pk=person_id, case=asked.case).exists():
        raise Invalid({"person": ["Choose a person of this case."]})
    said = {name: getattr(record, name) for name in AUTHORITY_FIELDS}
    if wrong := wrong_in_authority(said, timezone.localdate()):
        raise Invalid(wrong)
    if version == 0:
        return save_new(actor, record, own_key=True)
    return save_next_version(actor, record)


@action
def change_authority_need(
    actor: Staff, *, key: str, version: int, entry: Entry, reason: str
) -> AuthorityNeed:
    """Say whether requests of one kind have to show a right; version 0 leaves the list as it came.

    `entry` holds NEED_FIELDS. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    if key not in {one for one, _, _ in AUTHORITY_ASKED}:
        raise NotKnown("There is no such kind of request.")
    require_reason(reason)
    record = own_row(AuthorityNeed, key)
    if record is None:
        if version:
            raise NotKnown("There is no such record.")
        record = AuthorityNeed(pk=new_id(), key=key)
    else:
        require_version(record, version)
    set_fields(record, entry, NEED_FIELDS)
    return save_as(actor, record, version)
