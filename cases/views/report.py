"""The first call: logging it, correcting it, deciding jurisdiction."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases import actions
from cases.access import Act, may, require_role
from cases.course import case_frame
from cases.forms.report import JurisdictionForm, ReportForm
from cases.models import Case, JurisdictionDecision
from cases.queries import file
from cases.rules.case import CaseState
from cases.views import facts
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def log_report(request: StaffRequest) -> HttpResponse:
    """Log a report of death."""
    require_role(request.user, Act.REPORT)
    form = ReportForm(request.POST or None, initial={"called_at": timezone.now()})
    case = submitted(request, form, actions.log_report_of_death)
    if case:
        return answer_done(
            request, "The report of death is logged.", "cases:jurisdiction", case_id=case.pk
        )
    return answer_form(request, "cases/log_report.html", {}, form)


@require_GET
def report(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the report of death and the decisions on jurisdiction."""
    frame = case_frame(request.user, case_id, current="first_call")
    context = {
        "frame": frame,
        **_reported(frame.case),
        "may_report": may(request.user, Act.REPORT, frame.case),
        "may_decide": may(request.user, Act.DECIDE_JURISDICTION, frame.case),
    }
    return render(request, "cases/report.html", context)


@require_http_methods(["GET", "POST"])
def edit_report(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Correct the report of death, with the reason."""
    frame = case_frame(request.user, case_id, current="first_call", act=Act.REPORT)
    recorded = file.report_on(frame.case)
    if recorded is None:
        raise NotKnown("This case has no report of death.")
    form = ReportForm(request.POST or None, instance=recorded, case=frame.case)
    saved = submitted(request, form, actions.correct_report_of_death, case_id=case_id)
    if saved:
        return answer_done(
            request, "The report of death is corrected.", "cases:report", case_id=case_id
        )
    return answer_form(request, "cases/edit_report.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def jurisdiction(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Decide jurisdiction, or show what was decided."""
    frame = case_frame(request.user, case_id, current="first_call")
    if not may(request.user, Act.DECIDE_JURISDICTION, frame.case):
        return redirect("cases:report", case_id=case_id)
    declined = frame.case.state == CaseState.DECLINED
    form = JurisdictionForm(request.POST or None, case=frame.case, can_decline=not declined)
    decision = submitted(request, form, lambda actor: _decide(request, frame.case, form))
    if decision:
        return answer_done(request, _decided_words(decision), "cases:case", case_id=case_id)
    context = {"frame": frame, **_reported(frame.case)}
    return answer_form(request, "cases/jurisdiction.html", context, form)


def _reported(case: Case) -> dict[str, object]:
    recorded = file.report_on(case)
    return {
        "report": recorded,
        "call_facts": facts.call_facts(recorded) if recorded else [],
        "time_facts": facts.time_facts(recorded) if recorded else [],
        "decisions": file.decisions_on(case),
    }


def _decide(request: StaffRequest, case: Case, form: JurisdictionForm) -> JurisdictionDecision:
    said: dict[str, Any] = form.entry
    accepted = said["outcome"] == "accepted"
    decide = actions.accept_jurisdiction if accepted else actions.decline_jurisdiction
    return decide(
        request.user,
        case_id=case.pk,
        version=form.version,
        record_id=form.record_id,
        ground=said["ground"],
        reason=form.given_reason,
        decided_at=said["decided_at"],
    )


def _decided_words(decision: JurisdictionDecision) -> str:
    if decision.outcome == "declined":
        return "Jurisdiction is declined. It can still be accepted later."
    number = Case.objects.values_list("number", flat=True).get(pk=decision.case_id)
    return f"Jurisdiction is accepted. The case number is {number}."
