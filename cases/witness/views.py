"""The page that answers for an exhibit, and the way to it from a photograph and a finding."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.access import Act, may
from cases.course import case_frame
from cases.exhibits.queries import exhibit_of, exhibits_showing, marks_on
from cases.explanations.queries import explanations
from cases.models import Case
from cases.statements.queries import said_about, said_on_exhibits, said_on_photographs
from cases.views.parts import part_of
from cases.witness import shown
from cases.witness.addresses import exhibit_url
from cases.witness.queries import answers_in
from cases.witness.reading import read_case
from evidence.photographs.models import PhotographFinding
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access

STEP = "court"


@require_GET
def witness(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Show one exhibit with every answer that the record gives."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.ANSWER_AS_WITNESS)
    exhibit = exhibit_of(frame.case, set_id, exhibit_id)
    note_access(request.user, case_id=case_id, what="exhibit answers", record_id=exhibit.pk)
    read = read_case(frame.case, exhibit.exhibit_set)
    answers = answers_in(read, exhibit)
    said = said_about(frame.case, [one.finding_id for one in answers.findings])
    said_of_exhibit = shown.said_of_exhibit(
        answers,
        said_on_exhibits(frame.case, [exhibit.pk]),
        said_on_photographs(frame.case, [one.photograph_id for one in answers.pictures]),
        said,
    )
    pictures = shown.shown_pictures(read, answers)
    context = {
        "frame": frame,
        "answers": answers,
        "pictures": pictures,
        "several": len(pictures) > 1,
        "has_outlines": any(one.overlay.outlined for one in pictures),
        "has_measures": any(one.drawn for one in pictures),
        "findings": shown.shown_findings(answers, said),
        "has_said": any(said.values()),
        "said_of_exhibit": said_of_exhibit,
        "columns": shown.columns_of(answers),
        "color_caution": next(filter(None, (one.color_caution for one in answers.findings)), ""),
        "plain": shown.plain_of(answers),
        "exhibit": exhibit,
        "exhibit_url": exhibit_url(exhibit),
        "marks": marks_on(exhibit),
        "explained": explanations(shown.explanation_keys(read, answers)),
    }
    return render(request, "witness/witness.html", context)


@part_of("exhibits:sets")
def of_photograph(request: StaffRequest, case: Case, photograph_id: UUID) -> HttpResponse:
    """Show which exhibits a photograph is: a part of its page."""
    further = Q(parts__photograph=photograph_id, parts__voided_at=None)
    return _exhibits(request, case, Q(photograph=photograph_id) | further)


@part_of("exhibits:sets")
def of_finding(request: StaffRequest, case: Case, finding_id: UUID) -> HttpResponse:
    """Show which exhibits show a finding: a part of its page."""
    links = PhotographFinding.objects.active().filter(finding=finding_id)
    shown = links.filter(photograph__voided_at=None).values("photograph")
    further = Q(parts__photograph__in=shown, parts__voided_at=None)
    return _exhibits(request, case, Q(photograph__in=shown) | further)


def _exhibits(request: StaffRequest, case: Case, which: Q) -> HttpResponse:
    context = {
        "case": case,
        "exhibits": exhibits_showing(case, which),
        "may_answer": may(request.user, Act.ANSWER_AS_WITNESS, case),
    }
    return render(request, "witness/_exhibits.html", context)
