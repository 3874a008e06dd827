"""Giving a request to somebody; protective orders, and what became of the copies."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_voided,
    refuse_wrong,
    require_correction,
    voids,
)
from cases.docket import queries
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.rules import wrong_in_order, wrong_in_return
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

ORDER_FIELDS = names_entered(ProtectiveOrder)
ENDED_FIELDS = ("ended_on", "ended_by", "ended_how")
HANDED_ON = "given to somebody else"


@action
def give_request(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    before: UUID | None = None,
    entry: Entry,
    reason: str = "",
) -> Handling:
    """Say who handles a request; `before` is the key of who was said to when this was read.

    Raises NotAllowed, NotKnown, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    asked = queries.request_of(case, request_id)
    handling = Handling(pk=record_id, case=case, request=asked)
    set_fields(handling, entry, ("person",))
    there = recorded_before(handling, assigned=VOIDING)
    if there is not None:
        return there
    if handling.person not in queries.people_who_handle():
        raise Refused("Choose a records clerk or a supervisor.", field="person")
    stands = Handling.objects.active().select_for_update(of=("self",)).filter(request=asked).first()
    if (stands.pk if stands else None) != before:
        raise Conflict("The request was given to somebody meanwhile. Look again.")
    if stands is not None:
        if stands.person_id == handling.person_id:
            raise Refused("The request is with this person already.", field="person")
        void(actor, stands, reason=reason.strip() or HANDED_ON)
    return save_new(actor, handling, own_key=True)


@action
def record_protective_order(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> ProtectiveOrder:
    """Record an order under which a request is answered; `entry` holds ORDER_FIELDS.

    Raises NotAllowed, NotKnown, Conflict, Invalid.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    order = ProtectiveOrder(pk=record_id, case=case, request=queries.request_of(case, request_id))
    set_fields(order, entry, ORDER_FIELDS)
    there = recorded_before(order, assigned=_LATER)
    if there is not None:
        return there
    _check(order)
    return save_new(actor, order, own_key=True)


_LATER = (*ENDED_FIELDS, "ended_noted_by", *VOIDING)


@action
def change_protective_order(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str
) -> ProtectiveOrder:
    """Correct what is said of an order, with the reason. Raises as above, StaleRecord, Refused."""
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    order = queries.order_for_update(case, record_id)
    require_correction(order, version, reason)
    set_fields(order, entry, ORDER_FIELDS)
    _check(order)
    return save_next_version(actor, order)


@action
def record_copies_ended(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> ProtectiveOrder:
    """Record that the copies were returned or destroyed; said again it corrects, with the reason.

    `entry` holds ENDED_FIELDS. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    order = queries.order_for_update(case, record_id)
    refuse_voided(order)
    require_version(order, version)
    if order.ended_on is not None and not reason.strip():
        raise Refused("Say why this is changed.", field="reason")
    set_fields(order, entry, ENDED_FIELDS)
    lacking = {name: "Say this, too." for name in ENDED_FIELDS if not getattr(order, name)}
    said = {"ended_on": order.ended_on}
    refuse_wrong(
        lacking
        or wrong_in_return(
            said, copies=order.copies, made_on=order.made_on, today=timezone.localdate()
        )
    )
    order.ended_noted_by = actor
    return save_next_version(actor, order)


void_protective_order = voids("void_protective_order", ProtectiveOrder, Act.HANDLE_REQUEST)


def _check(order: ProtectiveOrder) -> None:
    said = said_of(order, ORDER_FIELDS)
    wrong = wrong_in_order(said, timezone.localdate())
    if wrong:
        raise Invalid({name: [words] for name, words in wrong.items()})
