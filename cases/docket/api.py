"""API of the board: who handles a request, what it waits for, protective orders."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from cases.api.serializers import VOIDABLE, ReasonInput, active_staff
from cases.api.shared import CASE, framed
from cases.docket import actions, queries
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.rules import Group, Whom
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit import looks
from me_office.audit.errors import NotAllowed
from me_office.shell.endpoints import adds, at, changes, lists, tells
from me_office.shell.shapes import ReadShape, sent_shape, shape_of

HandlingInput = sent_shape(
    "HandlingInput", Handling, ("id", "before", "person"),
    "To whom a request is given; `before` is the key of who had it, as it was read.",
    before=serializers.UUIDField(required=False, allow_null=True), person=active_staff(),
)  # fmt: skip
HandlingOutput = shape_of(
    "HandlingOutput", Handling, (*VOIDABLE, "request", "person"), "Who handles a request.",
)  # fmt: skip
OrderInput = sent_shape(
    "ProtectiveOrderInput", ProtectiveOrder, ("id", *actions.ORDER_FIELDS),
    "An order under which a request is answered.",
)  # fmt: skip
OrderChange = sent_shape(
    "ProtectiveOrderChange", ProtectiveOrder, ("version", "reason", *actions.ORDER_FIELDS),
    "A corrected order, with the version that was read and the reason.",
    reason=serializers.CharField(write_only=True),
)  # fmt: skip
OrderOutput = shape_of(
    "ProtectiveOrderOutput", ProtectiveOrder,
    (*VOIDABLE, "request", *actions.ORDER_FIELDS, *actions.ENDED_FIELDS),
    "An order under which a request is answered, and what became of the copies.",
)  # fmt: skip


class CopiesInput(ReadShape):
    """What became of the copies; said again it corrects, with the reason."""

    reason = serializers.CharField(required=False, allow_blank=True, default="")
    ended_on = serializers.DateField()
    ended_by = serializers.CharField(max_length=160)
    ended_how = serializers.CharField()


class BoardRowOutput(serializers.Serializer[Any]):
    """An open request with what it waits for."""

    request = serializers.UUIDField(source="asked.pk")
    case = serializers.UUIDField(source="asked.case_id")
    number = serializers.CharField(source="asked.case.label")
    due_on = serializers.DateField(source="asked.due_on")
    group = serializers.ChoiceField([one.value for one in Group])
    waits_for = serializers.ChoiceField([one.value for one in Whom], source="waits.whom")
    waits = serializers.CharField(source="waits.words")
    handled_by = serializers.UUIDField(source="handler.pk", default=None)


def _board(actor: Staff) -> Iterable[queries.Row]:
    """Return the open requests that are due first, at most MOST_OPEN."""
    if not actor.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
    rows, _ = queries.read_rows(actor, "", queries.today())
    looks.note_list(actor, "board of requests", rows=len(rows))
    return rows


_ORDER = f"{CASE}/protective-orders/<uuid:record_id>"
_REQUEST = f"{CASE}/requests/<uuid:request_id>"
routes = [
    at("requests/board/", "board",
       get=tells("requests_board", _board, BoardRowOutput,
           "List open requests, the soonest due first, with what each waits for.")),
    at(f"{_REQUEST}/handled-by/", "handled-by",
       post=adds("requests_give", actions.give_request, HandlingInput, HandlingOutput,
           "Say who handles the request.")),
    at(f"{_REQUEST}/protective-orders/", "request-orders",
       post=adds("protective_orders_record", actions.record_protective_order, OrderInput,
           OrderOutput, "Record a protective order.")),
    at(f"{CASE}/protective-orders/", "orders",
       get=lists("protective_orders_list", framed("court"), queries.orders_of, OrderOutput,
           "Return the protective orders of the case.")),
    at(f"{_ORDER}/", "order",
       put=changes("protective_orders_change", actions.change_protective_order, OrderChange,
           OrderOutput, "Correct a protective order.")),
    at(f"{_ORDER}/copies/", "order-copies",
       post=changes("protective_orders_copies", actions.record_copies_ended, CopiesInput,
           OrderOutput, "Record what became of the copies.")),
    at(f"{_ORDER}/withdraw/", "withdraw-order",
       post=changes("protective_orders_withdraw", actions.void_protective_order, ReasonInput,
           OrderOutput, "Withdraw a protective order, with the reason.")),
]  # fmt: skip
