"""Stating that there was no scene visit, or that the body was not received here."""

from __future__ import annotations

from uuid import UUID

from cases import queries
from cases.access import Act, require, require_at_all
from cases.actions.entry import void_entry
from cases.models import BodyReceipt, Case, NotDone, Scene
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused, known_of_office
from me_office.audit.records import recorded_before, require_reason, save_new

ACTS = {NotDone.SCENE: Act.RECORD_SCENE, NotDone.BODY: Act.RECEIVE_BODY}


@action
def state_not_done(
    actor: Staff, *, case_id: UUID, record_id: UUID, kind: str, reason: str
) -> NotDone:
    """State that there was no scene visit or that the body was not received here, and why.

    Refused where the scene or the receipt is recorded. Raises NotKnown, NotAllowed, Refused,
    Invalid, Conflict.
    """
    if kind not in ACTS:
        raise NotKnown("There is no such statement.")
    case = queries.case_for_update(case_id)
    require_at_all(actor, ACTS[kind], case)
    stated = NotDone(pk=record_id, case=case, kind=kind, why=require_reason(reason))
    there = recorded_before(stated)
    if there is not None:
        return there
    require(actor, ACTS[kind], case)
    if _is_recorded(case, kind):
        what = "The scene is recorded." if kind == NotDone.SCENE else "The body is received."
        raise Refused(what)
    return save_new(actor, stated, own_key=True)


def refuse_where_not_done(case: Case, kind: str) -> None:
    """Refuse a record where it is stated that there is none. Raises Refused."""
    stated = NotDone.objects.active().filter(case=case, kind=kind).first()
    if stated is not None:
        raise Refused(f"It is stated: {stated.get_kind_display()}. Withdraw that first.")


def _is_recorded(case: Case, kind: str) -> bool:
    recorded = Scene if kind == NotDone.SCENE else BodyReceipt
    return bool(recorded.objects.active().filter(case=case).exists())


@action
def void_not_done(
    actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
) -> NotDone:
    """Withdraw such a statement. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return void_entry(
        actor, NotDone, act=_act_of(record_id), record_id=record_id, version=version,
        reason=reason, case_id=case_id,
    )  # fmt: skip


def _act_of(record_id: UUID) -> Act:
    """Return what withdrawing a statement takes, by its kind, which never changes."""
    kinds = NotDone.objects.filter(pk=record_id).values_list("kind", flat=True)
    return ACTS[known_of_office(kinds.first(), "record")]
