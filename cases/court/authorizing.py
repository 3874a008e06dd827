"""Actions on the right of who asks: recorded, checked; and which requests it is asked of."""

from __future__ import annotations

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    own_row,
    refuse_wrong,
    require_for_office,
    save_as,
)
from cases.court.models import Authority, AuthorityNeed
from cases.court.opening import records_part, require_not_withdrawn
from cases.court.rules import AUTHORITY_ASKED, wrong_in_authority
from cases.models import Person
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, NotKnown
from me_office.audit.fields import said_of, set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import (
    require_reason,
    require_version,
)
from me_office.entries import Entry

AUTHORITY_FIELDS = names_entered(Authority)
NEED_FIELDS = names_entered(AuthorityNeed)


def _check(record: Authority) -> None:
    person_id = record.person_id
    if person_id and not Person.objects.filter(pk=person_id, case=record.case).exists():
        raise Invalid({"person": ["Choose a person of this case."]})
    refuse_wrong(wrong_in_authority(said_of(record, AUTHORITY_FIELDS), timezone.localdate()))


# By what right somebody asks, and what became of it. `entry` holds AUTHORITY_FIELDS.
record_authority = records_part(
    "record_authority", Authority, "authority", AUTHORITY_FIELDS,
    unless=require_not_withdrawn, check=_check,
)  # fmt: skip


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
