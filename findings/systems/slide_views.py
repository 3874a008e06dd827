"""Slides that were read: one page, one slide more."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import URLPattern, path
from django.views.decorators.http import require_http_methods

from cases.access import Act, case_for
from cases.course import CaseFrame
from findings.chart.page import examined
from findings.forms import VoidForm
from findings.systems import queries as system_queries
from findings.systems import slide_actions
from findings.systems.forms import SlideForm
from findings.systems.models import MicroscopicSlide
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known
from me_office.shell.forms import answer_done, answer_form, submitted


def _page(request: StaffRequest, case_id: UUID, form: Any, **more: Any) -> HttpResponse:
    of_whole = examined(request, case_id, form)
    if of_whole is None:
        return redirect("findings:examination", case_id=case_id)
    frame: CaseFrame = of_whole["frame"]
    context = {
        **of_whole,
        "slides": system_queries.slides_of(frame.case),
        **more,
    }
    return answer_form(request, "findings/slides.html", context, form)


@require_http_methods(["GET", "POST"])
def slides(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the slides, and take one more."""
    form = SlideForm(request.POST or None, initial={"read_by": request.user.printed_name})
    saved = submitted(request, form, slide_actions.record_slide, case_id=case_id)
    if saved:
        return answer_done(
            request, f"Slide {saved.label} is saved.", "findings:slides", case_id=case_id
        )
    return _page(request, case_id, form)


@require_http_methods(["GET", "POST"])
def change_slide(request: StaffRequest, case_id: UUID, slide_id: UUID) -> HttpResponse:
    """Change what is recorded of a slide."""
    form = SlideForm(request.POST or None, instance=_slide(request, case_id, slide_id))
    known_keys = {"case_id": case_id, "slide_id": slide_id}
    if submitted(request, form, slide_actions.change_slide, **known_keys):
        return redirect("findings:slides", case_id=case_id)
    return _page(request, case_id, form, changing=True)


@require_http_methods(["GET", "POST"])
def void_slide(request: StaffRequest, case_id: UUID, slide_id: UUID) -> HttpResponse:
    """Withdraw a slide."""
    slide = _slide(request, case_id, slide_id)
    form = VoidForm(request.POST or None, record=slide)
    known_keys = {"case_id": case_id, "slide_id": slide_id}
    if submitted(request, form, slide_actions.void_slide, **known_keys):
        return redirect("findings:slides", case_id=case_id)
    sentence = f"“{slide}” is withdrawn. It stays in the history."
    return _page(request, case_id, form, voiding=True, sentence=sentence)


def _slide(request: StaffRequest, case_id: UUID, slide_id: UUID) -> MicroscopicSlide:
    case = case_for(request.user, Act.EXAMINE, case_id)
    row = MicroscopicSlide.objects.filter(case=case, pk=slide_id).first()
    return known(row, "slide")


def routes(case: str) -> list[URLPattern]:
    """Return the addresses of the slides below a case's address."""
    one = f"{case}slides/<uuid:slide_id>/"
    return [
        path(f"{case}slides/", slides, name="slides"),
        path(one, change_slide, name="slide-change"),
        path(f"{one}void/", void_slide, name="slide-void"),
    ]
