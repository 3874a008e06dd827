"""What goes with a certificate: items of others, what it waits for, what the registrar was told."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import (
    case_of,
    case_to_change,
    names_entered,
    records,
    refuse_wrong,
    save_only_one,
    voids,
)
from cases.certification import rules
from cases.certification.filled import certifier_words, stated_in
from cases.certification.models import Certification, FollowUp, Particulars, RegistrarStatement
from cases.certification.sheet import certificate_rows, changes_since, stated_rows
from cases.queries import case_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.records import recorded_as, require_reason, require_version, save_new, void
from me_office.entries import Entry

PARTICULARS = names_entered(Particulars)
FOLLOW_UP = names_entered(FollowUp)


@action
def record_particulars(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Particulars:
    """Record the items that family, funeral home and registrar state. Version 0 is the first time.

    Raises NotKnown, NotAllowed, StaleRecord, Invalid.
    """
    case = case_to_change(actor, Act.KEEP_CERTIFICATE, case_id)
    refuse_wrong(rules.wrong_in_particulars(entry, timezone.localdate()))
    standing = Particulars.objects.select_for_update().filter(case=case).first()
    made = Particulars(pk=record_id, case=case)
    return save_only_one(actor, standing, made, version, entry, PARTICULARS)


# What a certificate waits for and when somebody asks again, or that it came.
record_follow_up = records(
    "record_follow_up", FollowUp, Act.KEEP_CERTIFICATE,
    wrong=lambda entry: rules.wrong_in_follow_up(entry, timezone.localdate()),
)  # fmt: skip
void_follow_up = voids("void_follow_up", FollowUp, Act.KEEP_CERTIFICATE)


@action
def state_to_registrar(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> RegistrarStatement:
    """Freeze the certificate as it is stated to the registrar. `entry`: certified_on.

    `version` is that of the certification that was read. A later statement amends the one before,
    which stays as it was; it needs a reason, and something that reads otherwise.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.STATE_TO_REGISTRAR, case)
    certified_on: Any = entry.get("certified_on")
    there = RegistrarStatement.objects.filter(pk=record_id).first()
    if there is not None:
        if there.case_id != case.pk:
            raise Conflict("A record with this key has different content.")
        return recorded_as(there, certified_on=certified_on, why=reason.strip())
    access.require(actor, Act.STATE_TO_REGISTRAR, case)
    standing = Certification.objects.select_related("stated_by").filter(case=case).first()
    if standing is None:
        raise Refused("State cause and manner first.")
    require_version(standing, version)
    refuse_wrong(rules.wrong_in_statement(entry, timezone.localdate()))
    said = stated_rows(certificate_rows(stated_in(standing)))
    ever = RegistrarStatement.objects.filter(case=case).order_by("-number")
    last, newest = ever.filter(voided_at=None).first(), ever.first()
    if last is not None and not changes_since(last.said, said):
        raise Refused("Nothing reads otherwise than it was stated.")
    return save_new(
        actor,
        RegistrarStatement(
            pk=record_id,
            case=case,
            number=newest.number + 1 if newest else 1,
            certified_on=certified_on,
            why=require_reason(reason) if last else reason.strip(),
            said=said,
            of_version=standing.version,
            stated_at=timezone.now(),
            stated_by=actor,
            certifier=certifier_words(standing)[:200],
        ),
        own_key=True,
    )


@action
def withdraw_registrar_statement(
    actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
) -> RegistrarStatement:
    """Withdraw what was never stated, or was recorded by mistake; of several, the last one.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    within = case_of(RegistrarStatement, record_id, within=case_id)
    case = case_to_change(actor, Act.STATE_TO_REGISTRAR, within)
    statements = RegistrarStatement.objects.select_for_update().filter(case=case)
    statement = statements.get(pk=record_id)
    if statements.filter(voided_at=None, number__gt=statement.number).exists():
        raise Refused("A later statement amends this one. Withdraw the later one first.")
    return void(actor, statement, version=version, reason=reason)
