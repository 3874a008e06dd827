"""Page: closing a case without a report, and opening it again."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from cases.review import closing
from cases.review.forms import ClosingForm, ReopenForm
from cases.review.rules import missing_before_closing
from cases.review.where import with_pages
from cases.rules.case import CaseState
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def close(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Close a case without a report; a closed one is opened again."""
    frame = case_frame(request.user, case_id, current="report", act=Act.CLOSE_CASE)
    if frame.case.state == CaseState.CLOSED:
        return _reopen(request, case_id, frame)
    form = ClosingForm(request.POST or None, case_version=frame.case.version)
    saved = submitted(request, form, closing.close_case, case_id=case_id)
    if saved:
        return answer_done(
            request, "The case is closed without a report.", "cases:case", case_id=case_id
        )
    lacking = with_pages(missing_before_closing(closing.closing_facts(frame.case)), case_id)
    earlier = closing.closings_of(frame.case)
    context = {"frame": frame, "lacking": lacking, "earlier": earlier}
    return answer_form(request, "review/close.html", context, form)


def _reopen(request: StaffRequest, case_id: UUID, frame: CaseFrame) -> HttpResponse:
    standing = closing.closings_of(frame.case)[0]
    form = ReopenForm(request.POST or None, record=standing)
    saved = submitted(request, form, closing.reopen_case, case_id=case_id)
    if saved:
        return answer_done(request, "The case is reopened.", "cases:case", case_id=case_id)
    return answer_form(request, "review/reopen.html", {"frame": frame, "closing": standing}, form)
