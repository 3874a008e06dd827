"""The page of the case's cameras: what is known of their clocks, and what follows from it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import case_frame
from cases.models import Case
from cases.views.parts import part_of
from evidence.clocks import actions, queries
from evidence.clocks.forms import ClockForm
from evidence.photographs import queries as photograph_queries
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "photographs"


@require_GET
def clocks(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the cameras of the case: times as recorded, and corrected beside them."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = {
        "frame": frame,
        "cameras": queries.cameras_with_times(frame.case),
        "may_change": may(request.user, Act.PHOTOGRAPH, frame.case),
    }
    return render(request, "clocks/clocks.html", context)


@require_http_methods(["GET", "POST"])
def set_clock(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Say how the clock of the camera that took a photograph stood."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.PHOTOGRAPH)
    shown = photograph_queries.photograph_of(frame.case, photograph_id)
    camera = queries.camera_with_times(frame.case, queries.camera_of(shown.exif))
    form = ClockForm(request.POST or None, instance=camera.clock)
    saved = submitted(
        request,
        form,
        actions.set_camera_clock,
        case_id=case_id,
        camera=camera.camera,
        serial=camera.serial,
    )
    if saved:
        words = "Saved. What the cameras recorded stays as it is."
        return answer_done(request, words, "evidence:clocks", case_id=case_id)
    return answer_form(request, "clocks/clock.html", {"frame": frame, "camera": camera}, form)


@part_of("evidence:clocks")
def photograph_times(request: StaffRequest, case: Case, photograph_id: UUID) -> HttpResponse:
    """Show one photograph's time as recorded and as corrected: a part of its page."""
    shown = queries.times_of(photograph_queries.photograph_of(case, photograph_id))
    return render(request, "clocks/_clock_times.html", {"shot": shown, "case": case})
