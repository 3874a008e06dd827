"""Pages of a request's demands."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from cases.court import demanding, queries
from cases.court.forms import DemandForm, WithdrawPartForm
from cases.court.models import Demand, RecordsRequest
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "court:request"


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Add a demand to a request."""
    frame, asked = _frame(request, case_id, request_id)
    kind = "preservation" if asked.kind == "preservation" else "documents"
    form = DemandForm(request.POST or None, initial={"kind": kind})
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, demanding.record_demand, **keys, version=0)
    if saved:
        return answer_done(request, f"Added: {saved}.", PAGE, **keys)
    return answer_form(request, "court/demand_form.html", {"frame": frame, "asked": asked}, form)


@require_http_methods(["GET", "POST"])
def change(request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID) -> HttpResponse:
    """Correct a demand, with the reason."""
    frame, asked = _frame(request, case_id, request_id)
    demand = queries.demand_of(asked, record_id)
    form = DemandForm(request.POST or None, instance=demand)
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, demanding.record_demand, **keys, record_id=record_id)
    if saved:
        return answer_done(request, f"Corrected: {saved}.", PAGE, **keys)
    shown = queries.demand_of(asked, record_id)
    context = {"frame": frame, "asked": asked, "demand": shown, "table": Demand._meta.db_table}
    return answer_form(request, "court/demand_form.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Withdraw a demand, with the reason."""
    frame, asked = _frame(request, case_id, request_id)
    demand = queries.demand_of(asked, record_id)
    form = WithdrawPartForm(request.POST or None, record=demand)
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, demanding.withdraw_demand, **keys, record_id=record_id)
    if saved:
        return answer_done(request, f"Withdrawn: {saved}.", PAGE, **keys)
    context = {
        "frame": frame,
        "asked": asked,
        "words": f"demand {demand.number}",
        "sentence": f"Demand {demand} will be withdrawn. It stays in the history, and its number "
        "is not given again.",
    }
    return answer_form(request, "court/withdraw_part.html", context, form)


def _frame(
    request: StaffRequest, case_id: UUID, request_id: UUID
) -> tuple[CaseFrame, RecordsRequest]:
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    return frame, queries.request_of(case_id, request_id)
