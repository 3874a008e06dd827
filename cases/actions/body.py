"""The body comes into the office's keeping, and who it is."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    key_or_new,
    names_entered,
    refuse_wrong,
    save_entry,
    save_only_one,
    void_entry,
)
from cases.actions.not_done import refuse_where_not_done
from cases.actions.report import DECEDENT_NAMES, decedent_entry, name_for_search
from cases.models import BodyReceipt, Case, Decedent, Identification, NotDone
from cases.rules import intake as intake_rules
from cases.rules.case import IdentityState
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.fields import set_fields
from me_office.audit.records import require_version, save_next_version
from me_office.entries import Entry
from me_office.units import with_kept_units

RECEIPT_NAMES = names_entered(BodyReceipt)
RECEIPT_UNITS = {"body_temp_c": ("°C", 1)}
# What later parts of the case know that speaks against a receipt: fields with a sentence.
RECEIPT_CHECKS: list[Callable[[BodyReceipt], dict[str, str]]] = []


@action
def receive_body(
    actor: Staff,
    *,
    case_id: UUID,
    version: int,
    entry: Entry,
    record_id: UUID | None = None,
    reason: str = "",
) -> BodyReceipt:
    """Note the body's receipt; version 0 makes the record. The actor received it unless said.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Invalid.
    """
    case = case_to_change(actor, Act.RECEIVE_BODY, case_id)
    refuse_wrong(
        intake_rules.ahead_of_now({"received_at": entry.get("received_at")}, timezone.now())
    )
    locked = BodyReceipt.objects.select_for_update()
    standing: BodyReceipt | None = locked.filter(case=case).first()
    if standing is None:
        refuse_where_not_done(case, NotDone.BODY)
    new = BodyReceipt(pk=key_or_new(record_id), case=case, received_by=actor)
    said, wrong = with_kept_units(entry, RECEIPT_UNITS)
    refuse_wrong(wrong)
    before = standing.received_at if standing is not None else None
    receipt = save_only_one(actor, standing, new, version, said, RECEIPT_NAMES)
    for wrong_in in RECEIPT_CHECKS:
        refuse_wrong(wrong_in(receipt))
    if case.body_in_since == before and before != receipt.received_at:
        # Otherwise the body was released meanwhile, or is here for another time.
        Case.objects.filter(pk=case.pk).update(body_in_since=receipt.received_at)
    return receipt


@action
def record_identification(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Identification:
    """Note a step in establishing identity; the latest active one sets the decedent's.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case, decedent = _case_and_decedent(actor, case_id)
    refuse_wrong(intake_rules.ahead_of_now({"made_at": entry.get("made_at")}, timezone.now()))
    named = bool(decedent.family_name or decedent.given_names)
    identity, method = entry.get("identity", ""), entry.get("method", "")
    basis = str(entry.get("basis") or "")
    refuse_wrong(intake_rules.why_not_identified(identity, method, is_named=named, basis=basis))
    step = save_entry(
        actor, Identification, case=case, record_id=record_id, version=version, entry=entry
    )
    _follow_identity(actor, case, decedent)
    return step


@action
def void_identification(
    actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
) -> Identification:
    """Withdraw a step of identification; the one before it counts again.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    step = void_entry(
        actor, Identification, act=Act.IDENTIFY, record_id=record_id, version=version,
        reason=reason, case_id=case_id,
    )  # fmt: skip
    _follow_identity(actor, step.case, Decedent.objects.select_for_update().get(case=step.case))
    return step


@action
def describe_decedent(
    actor: Staff, *, case_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Decedent:
    """Change what is known of the decedent; identity itself follows the identification.

    Raises NotKnown, NotAllowed, StaleRecord, Invalid.
    """
    _, decedent = _case_and_decedent(actor, case_id)
    require_version(decedent, version)
    set_fields(decedent, decedent_entry(entry), DECEDENT_NAMES)
    refuse_wrong(
        intake_rules.wrong_in_decedent(
            identity=decedent.identity,
            is_named=bool(decedent.family_name or decedent.given_names),
            born_on=decedent.born_on,
            today=timezone.localdate(),
        )
    )
    return save_next_version(actor, name_for_search(decedent))


def _case_and_decedent(actor: Staff, case_id: UUID) -> tuple[Case, Decedent]:
    case = case_to_change(actor, Act.IDENTIFY, case_id)
    return case, Decedent.objects.select_for_update().get(case=case)


def _follow_identity(actor: Staff, case: Case, decedent: Decedent) -> None:
    latest = Identification.objects.active().filter(case=case).order_by("-made_at", "-id").first()
    identity = latest.identity if latest else IdentityState.UNKNOWN.value
    if decedent.identity != identity:
        decedent.identity = identity
        save_next_version(actor, decedent)
