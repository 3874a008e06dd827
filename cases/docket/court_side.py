"""What a request's page shows of who handles it and under which orders it is answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from django.utils.timezone import localdate

from cases.access import Act, may
from cases.answers import since
from cases.answers.comparing import Differs
from cases.answers.models import Answer
from cases.court import marking, side
from cases.court.marking import OrderSince, OrderTold
from cases.court.models import Demand, RecordsRequest
from cases.court.rules import RequestState
from cases.court.side import Offer, Section, offer
from cases.docket import queries
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.rules import CopiesDo, Waits, waits_of
from cases.docket.waiting import facts_on_page
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import day

HANDLED, ORDERS = 12, 55


def orders_since(asked: RecordsRequest, answers: Sequence[Answer]) -> dict[Answer, list[Differs]]:
    """Name orders that ended, or were made, since an answer was built; one statement."""
    orders, today = queries.orders_of_request(asked.pk), queries.today()
    return {
        one: [Differs(words) for order in orders
              if (words := order_since(order, one.built_at, today))]
        for one in answers
    }  # fmt: skip


def orders_since_packets(case: Case) -> list[OrderSince]:
    """Return what to ask of the orders of a case's requests; one statement."""
    today = queries.today()
    return [
        OrderSince(one.request_id, partial(order_since, one, today=today))
        for one in queries.orders_of(case)
    ]


def order_since(order: ProtectiveOrder, built_at: datetime | None, today: date) -> str:
    """Say what became of an order since an answer or a packet was built, or nothing."""
    if built_at is None:
        return ""
    built_on = localdate(built_at)
    if order.until is not None and built_on <= order.until < today:
        return (
            f"The protective order of {day(order.made_on)} was in force until {day(order.until)}."
        )
    if order.created_at > built_at:
        return f"The protective order of {day(order.made_on)} was recorded after it was built."
    # What became of the copies changes nothing of what is sent.
    if order.version > 1 and order.ended_on is None and order.changed_at > built_at:
        return f"What is noted of the protective order of {day(order.made_on)} was corrected since."
    return ""


def orders_as_sent(asked: RecordsRequest) -> list[OrderTold]:
    """Return the orders as an answer prints them; one statement."""
    return [
        OrderTold(
            one.made_on, one.who_may_see, one.until,
            CopiesDo(one.copies).words, one.back_by,
        )
        for one in queries.orders_of_request(asked.pk)
    ]  # fmt: skip


@dataclass(frozen=True)
class HandledTold:
    """Who handles a request, what it waits for, and whether the person may say so."""

    handling: Handling | None
    waits: Waits | None
    may_give: bool


@dataclass(frozen=True)
class OrdersTold:
    """The orders under which a request is answered."""

    orders: Sequence[ProtectiveOrder]
    may_record: bool


def handled_told(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> HandledTold:
    """Return who handles the request and what it waits for; a fixed number of statements."""
    waits = None
    if asked.state == RequestState.OPEN:
        waits = waits_of(facts_on_page(asked, demands, queries.today(), actor))
    allowed = may(actor, Act.HANDLE_REQUEST, asked.case)
    return HandledTold(queries.handling_of(asked.pk), waits, allowed)


def orders_told(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> OrdersTold:
    """Return the orders under which the request is answered; one statement."""
    allowed = may(actor, Act.HANDLE_REQUEST, asked.case)
    return OrdersTold(queries.orders_of_request(asked.pk), allowed)


def _without_orders(asked: RecordsRequest, part: OrdersTold, handles: bool) -> list[Offer] | None:
    if part.orders:
        return None
    return (
        [offer(asked, "Record a protective order", "docket:add-order")] if part.may_record else []
    )


since.register("orders", orders_since)
marking.register("orders", orders_as_sent)
marking.register_since("orders", orders_since_packets)
side.register(
    Section("handled", HANDLED, "docket/_side_handled.html", handled_told),
    Section("orders", ORDERS, "docket/_side_orders.html", orders_told, fold=_without_orders),
)
