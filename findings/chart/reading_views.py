"""The body chart as a list: read or heard as quickly as the drawing is seen."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from cases.access import Act, decision_on
from cases.course import case_frame
from findings import queries
from findings.chart.page import chart_url, finding_url, klass_css
from findings.chart.reading import head_to_foot
from findings.models import Finding, Mark
from findings.words.sentences import begin_small
from me_office.accounts.requests import StaffRequest


@require_GET
def reading(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Every finding under its part of the body, head to foot, with its ways to change it."""
    frame = case_frame(request.user, case_id, current="examination")
    if queries.examination_of(frame.case) is None:
        return redirect("findings:examination", case_id=case_id)
    findings = queries.findings_of(frame.case)
    rows = {one.number: _row(one) for one in findings}
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    context = {
        "frame": frame,
        "count": len(findings),
        "parts": [
            (heading, [rows[number] for number in numbers])
            for heading, numbers in head_to_foot(queries.lies_of(one) for one in findings)
        ],
        "may_examine": decision.allowed,
        "why_not": decision.why,
    }
    return render(request, "findings/reading.html", context)


def _row(finding: Finding) -> dict[str, Any]:
    case_id = finding.case_id
    marks = list(finding.marks.all())
    return {
        "finding": finding,
        "css": klass_css(finding.klass),
        "place_small": begin_small(finding.place),
        "position_words": queries.position_words(finding),
        "marks": [(mark, _mark_words(mark)) for mark in marks],
        "chart_url": chart_url(case_id, finding.pk, marks[0].view if marks else ""),
        "photographs_url": finding_url(
            "evidence:finding-thread", case_id=case_id, finding_id=finding.pk
        ),
    }


def _mark_words(mark: Mark) -> str:
    """What a mark is and where: "point, left cheek"."""
    place = queries.place_of(mark)
    return f"{mark.kind_words}, {begin_small(place)}" if place else mark.kind_words
