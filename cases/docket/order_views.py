"""Pages of protective orders."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from cases.docket import actions, queries
from cases.docket.forms import EndedForm, OrderForm
from cases.docket.models import ProtectiveOrder
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, submitted
from me_office.shell.templatetags.office import day

PAGE = "court:request"


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Record an order under which the request is answered."""
    frame = _frame(request, case_id)
    asked = queries.request_of(frame.case, request_id)
    form = OrderForm(request.POST or None, initial={"copies": None})
    saved = submitted(
        request, form, actions.record_protective_order, case_id=case_id, request_id=request_id
    )
    if saved:
        return _done(request, saved, "The order is recorded.")
    return answer_form(request, "docket/order.html", {"frame": frame, "asked": asked}, form)


@require_http_methods(["GET", "POST"])
def change(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Correct what is said of an order."""
    frame = _frame(request, case_id)
    order = queries.order_of(frame.case, record_id)
    form = OrderForm(request.POST or None, instance=order)
    saved = submitted(
        request, form, actions.change_protective_order, case_id=case_id, record_id=record_id
    )
    if saved:
        return _done(request, saved, "The order is corrected.")
    shown = queries.order_of(frame.case, record_id)
    context = {"frame": frame, "asked": shown.request, "order": shown}
    return answer_form(request, "docket/order.html", context, form)


@require_http_methods(["GET", "POST"])
def ended(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Say what became of the copies."""
    frame = _frame(request, case_id)
    order = queries.order_of(frame.case, record_id)
    initial = {
        "ended_on": order.ended_on or timezone.localdate(),
        "ended_by": order.ended_by,
        "ended_how": order.ended_how,
    }
    form = EndedForm(request.POST or None, record=order, initial=initial)
    saved = submitted(
        request, form, actions.record_copies_ended, case_id=case_id, record_id=record_id
    )
    if saved:
        return _done(request, saved, "Recorded what became of the copies.")
    return answer_form(request, "docket/copies.html", {"frame": frame, "order": order}, form)


@confirms("court", Act.HANDLE_REQUEST, queries.order_of, actions.void_protective_order)
def withdraw(order: ProtectiveOrder) -> Confirmation:
    """Withdraw an order that was recorded by mistake."""
    return Confirmation(
        "Withdraw a protective order",
        "What was recorded of the order stays in the history with your reason and no longer "
        "counts; the board no longer reminds of its copies.",
        "Withdraw the order",
        back=reverse(PAGE, args=[order.case_id, order.request_id]),
        done="The order is withdrawn.",
        intro=f"Order of {day(order.made_on)}, {order.request.party}.",
    )


def _done(request: StaffRequest, order: ProtectiveOrder, words: str) -> HttpResponse:
    return answer_done(request, words, PAGE, case_id=order.case_id, request_id=order.request_id)


def _frame(request: StaffRequest, case_id: UUID) -> CaseFrame:
    return case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
