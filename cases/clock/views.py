"""Pages of a request's due day and of what changed its clock."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_http_methods, require_safe

from cases.access import Act, case_for
from cases.clock import actions, queries
from cases.clock.forms import ClockChangeForm, CountDueForm, FixDueForm
from cases.counting.queries import CHECK_WITH_COUNSEL, NOT_SERVED_BY_IT
from cases.course import CaseFrame, case_frame
from cases.court.models import RecordsRequest
from cases.court.part_views import withdrawal_of_part
from cases.court.queries import request_of
from cases.court.rules import RequestState
from evidence.store.serving import hand_over
from evidence.store.uploads import name_of_paper
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown, Refused
from me_office.shell.confirming import confirming
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "court:request"


@require_http_methods(["GET", "POST"])
def count_due(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Count a request's due day by a rule."""
    frame, asked = _frame(request, case_id, request_id)
    keys = {"case_id": case_id, "request_id": request_id}
    form = CountDueForm(request.POST or None, asked=asked)
    saved = submitted(request, form, actions.count_due_day, **keys)
    if saved:
        return answer_done(request, f"Due {saved.end_on:%A, %B} {saved.end_on.day}.", PAGE, **keys)
    context = {
        "frame": frame,
        "asked": asked,
        "counsel": CHECK_WITH_COUNSEL.text,
        "service": NOT_SERVED_BY_IT.text,
    }
    return answer_form(request, "clock/count.html", context, form)


@require_http_methods(["GET", "POST"])
def fix_due(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Say which due day the court fixed or the parties agreed."""
    frame, asked = _frame(request, case_id, request_id)
    keys = {"case_id": case_id, "request_id": request_id}
    form = FixDueForm(request.POST or None)
    saved = submitted(request, form, actions.fix_due_day, **keys)
    if saved:
        return answer_done(request, f"Due {saved.end_on:%A, %B} {saved.end_on.day}.", PAGE, **keys)
    return answer_form(request, "clock/fix.html", {"frame": frame, "asked": asked}, form)


@require_http_methods(["GET", "POST"])
def note_change(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Note what stopped, moved or started the clock."""
    frame, asked = _frame(request, case_id, request_id)
    keys = {"case_id": case_id, "request_id": request_id}
    form = ClockChangeForm(request.POST or None, request.FILES or None)
    saved = submitted(request, form, actions.note_change, **keys)
    if saved:
        return answer_done(request, f"Noted: {saved}.", PAGE, **keys)
    now = queries.standing_of(asked)
    context = {"frame": frame, "asked": asked, "left": queries.left_of(asked).words, "now": now,
               "counsel": CHECK_WITH_COUNSEL.text}  # fmt: skip
    return answer_form(request, "clock/change.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_change(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Withdraw the newest change, with the reason."""
    frame, asked = _frame(request, case_id, request_id)
    made = queries.change_of(asked, record_id)
    said = withdrawal_of_part(
        asked,
        f"the {made.get_kind_display()} of {made.on:%Y-%m-%d}",
        f"The request will be due on {made.due_before:%Y-%m-%d} again, as before it.",
        done=f"Withdrawn: {made}.",
        form_class=VoidForm,
    )
    return confirming(
        request, made, actions.withdraw_clock_change, said, frame=frame, case_id=case_id,
        request_id=request_id, record_id=record_id,
    )  # fmt: skip


@require_safe
def document(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponseBase:
    """Send the paper as it came; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    made = queries.change_of(request_of(case.pk, request_id), record_id)
    if made.file is None:
        raise NotKnown("No paper is kept with it.")
    return hand_over(
        request, made.file, case_id=case.pk, record_id=made.pk, what="clock change",
        filename=name_of_paper(made.file, made.kind),
    )  # fmt: skip


def _frame(
    request: StaffRequest, case_id: UUID, request_id: UUID
) -> tuple[CaseFrame, RecordsRequest]:
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = request_of(case_id, request_id)
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state} and can no longer be changed.")
    return frame, asked
