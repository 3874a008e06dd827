"""The examination: opened, recorded, its negative statements."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from cases.access import Act, decision_on
from cases.course import CaseFrame, case_frame
from findings import actions, queries
from findings.body.views import choose_body
from findings.chart.page import history_url
from findings.computing.fitting import WRITTEN, fitting
from findings.forms import ExaminationForm, OpenExaminationForm
from findings.models import Examination
from findings.questions import negatives
from findings.questions import queries as question_queries
from findings.questions.contradicting import findings_against, measured_against
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, attempt, submitted


@require_http_methods(["GET", "POST"])
def examination(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Open the examination, or record it."""
    frame = case_frame(request.user, case_id, current="examination")
    standing = queries.examination_of(frame.case)
    if standing is None:
        return _open(request, frame)
    form = ExaminationForm(request.POST or None, instance=standing)
    saved = submitted(request, form, actions.record_examination, case_id=case_id)
    if saved:
        words = f"Examination saved {timezone.localtime():%H:%M}."
        return answer_done(request, words, "findings:examination", case_id=case_id)
    return answer_form(request, "findings/examination.html", _context(request, frame, form), form)


def _context(request: StaffRequest, frame: CaseFrame, form: ExaminationForm) -> dict[str, object]:
    # The form's own instance carries what was typed; the page shows what stands.
    kept = queries.examination_of(frame.case) if form.is_bound else None
    standing: Examination = kept or form.instance
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    findings = queries.findings_of(frame.case)
    seen = [question_queries.seen_of(one) for one in findings]
    sections = [
        {
            "field": form[name],
            "written": getattr(standing, name),
            "statements": [
                (
                    one,
                    negatives.is_stated(one, getattr(standing, name)),
                    findings_against(one, seen),
                    measured_against(one, standing.coronary_percents, standing.blood_ml),
                    negatives.needed_first(one, standing.deep_dissection),
                )
                for one in negatives.statements_of(name)
                if negatives.is_offered(one, standing.kind, frame.decedent.sex, standing.chart_body)
            ],
        }
        for name in actions.LONG_TEXTS
        if name in form.fields
    ]
    return {
        "frame": frame,
        "examination": standing,
        "may_examine": decision.allowed,
        "why_not": decision.why,
        "fitting": fitting(frame.case.pk, WRITTEN),
        "history_url": history_url(frame.case.pk, standing),
        "unopened": question_queries.unopened_of(standing),
        "contradictions": question_queries.contradictions_of(standing, findings),
        "sections": sections,
        "offers_negatives": any(section["statements"] for section in sections),
    }


def _open(request: StaffRequest, frame: CaseFrame) -> HttpResponse:
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    age = frame.decedent.age_years
    form = OpenExaminationForm(
        request.POST or None,
        initial={
            "kind": "full autopsy",
            "began_at": timezone.localtime().replace(second=0, microsecond=0),
            "chart_body": choose_body(frame.decedent.sex, float(age) if age is not None else None),
        },
    )
    if request.method == "POST" and form.is_valid():
        saved: Examination | None = attempt(
            form,
            lambda: actions.open_examination(
                request.user, case_id=frame.case.pk, record_id=form.record_id, entry=form.entry
            ),
        )
        if saved:
            return answer_done(
                request, "The examination is open.", "findings:chart", case_id=frame.case.pk
            )
    context = {"frame": frame, "may_examine": decision.allowed, "why_not": decision.why}
    return answer_form(request, "findings/open.html", context, form)


@require_POST
def confirm_negative(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Confirm one negative statement; each has its own button."""
    version = request.POST.get("version", "")
    actions.confirm_negative(
        request.user,
        case_id=case_id,
        version=int(version) if version.isdecimal() and len(version) < 10 else 0,
        statement=request.POST.get("statement", ""),
    )
    # Back to the statement in its list, beside the next one to confirm.
    statement = request.POST.get("statement", "")
    return answer_done(
        request,
        "The statement was added to its section.",
        f"{request.path.removesuffix('negatives/')}#negative-{statement}",
    )
