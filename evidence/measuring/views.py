"""Pages of measuring: the picture with its scale, what was measured, derived copies."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, case_for, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence import store
from evidence.items.pages import Withdrawal, of_numbered
from evidence.measuring import actions, making, queries, rules
from evidence.measuring.drawing import drawn_lines, line_sizes
from evidence.measuring.forms import CopyForm, MeasureForm, UseForm
from evidence.measuring.models import Measurement
from evidence.photographs.models import Photograph
from evidence.photographs.queries import finding_of, findings_to_link, photograph_of
from findings.calculations.photo_measurement import MeasureKind
from findings.calculations.photo_scales import PUBLISHED
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "photographs"
SCALE_CHOICES = [
    ("straight", "Straight: two points"),
    *((each.name, each.title) for each in PUBLISHED.values()),
    ("rectangle", "Card or label of known sides"),
    ("own", "Right-angled, your own marks"),
]
# Nothing stated comes first: the widest limits.
TILT_CHOICES = [
    (50, "50°: not known"),
    (30, "30°: a circle looks 13 % narrower"),
    (20, "20°: a circle looks 6 % narrower"),
    (10, "10°: a circle looks 2 % narrower"),
    (5, "5°: squared up on a stand"),
]


@require_http_methods(["GET", "POST"])
def measure(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Show the picture with what was measured in it, and keep one more measurement."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = photograph_of(frame.case, photograph_id)
    findings = findings_to_link(frame.case)
    form = MeasureForm(request.POST or None, findings=findings)
    kept = submitted(
        request, form, actions.measure_photograph, case_id=case_id, photograph_id=photograph_id
    )
    if kept:
        return answer_done(
            request,
            f"{kept} saved: {kept.words}.",
            "measuring:measure",
            case_id=case_id,
            photograph_id=photograph_id,
        )
    return answer_form(request, "measuring/measure.html", page_of(request, frame, shown), form)


def page_of(request: StaffRequest, frame: CaseFrame, shown: Photograph) -> dict[str, object]:
    """Return what the page of one photograph needs, beside its form."""
    measurements = queries.measurements_of(shown)
    may_measure = may(request.user, Act.PHOTOGRAPH, frame.case) and not shown.is_voided
    orientation = shown.exif.get("orientation", 1)
    width, height = rules.upright_size(shown.width_px, shown.height_px, orientation)
    return {
        "frame": frame,
        "photograph": shown,
        "measurements": measurements,
        **copies_context(shown),
        "copy_form": CopyForm(measurements=measurements) if measurements else None,
        "may_measure": may_measure,
        "no_picture": "" if shown.file.media_type in rules.PICTURES else rules.NO_PICTURE,
        "may_use": may(request.user, Act.EXAMINE, frame.case),
        "why_locked": "" if may_measure else decision_on(
            request.user, Act.PHOTOGRAPH, frame.case
        ).why,
        "width": width,
        "height": height,
        **line_sizes(width, height),
        "scale_choices": SCALE_CHOICES,
        "tilt_choices": TILT_CHOICES,
        "kind_choices": [(each.value, each.value.capitalize()) for each in MeasureKind],
        "drawn": [drawn_lines(each, width, height) for each in measurements],
        "scales": [_published(each) for each in PUBLISHED.values()],
    }  # fmt: skip


def copies_context(shown: Photograph) -> dict[str, object]:
    """What the list of a photograph's copies needs: made ones, and those asked for."""
    asked = queries.copies_asked_for(shown)
    return {
        "copies": queries.copies_of(shown),
        "asked": asked,
        "under_way": any(one.is_under_way for one in asked),
    }


def _published(scale: Any) -> dict[str, object]:
    points = [{"label": each.label, "mm": [each.x_mm, each.y_mm]} for each in scale.points]
    return {"name": scale.name, "title": scale.title, "source": scale.source, "points": points}


@part_of("evidence:photographs")
def of_finding(request: StaffRequest, case: Case, finding_id: UUID) -> HttpResponse:
    """What was measured of one finding, for the thread beside the body chart."""
    finding = finding_of(case, finding_id)
    uses = queries.uses_of(finding)
    context = {
        "case": case,
        "uses": uses,
        "unused": queries.unused_of(finding, uses),
        "unnamed": queries.unnamed_near(finding),
    }
    return render(request, "measuring/_of_finding.html", context)


@require_GET
def picture(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponseBase:
    """Stream the whole picture upright, for exact picking; looking is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = photograph_of(case, photograph_id)
    note_access(request.user, case_id=case.pk, what="photograph", record_id=shown.pk)
    made = making.upright_picture(shown)
    answer: HttpResponseBase
    if made is None:
        answer = FileResponse(store.open_stored(shown.file), content_type=shown.file.media_type)
    else:
        answer = HttpResponse(made[0], content_type=made[1])
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_http_methods(["GET", "POST"])
def use(request: StaffRequest, case_id: UUID, measurement_id: UUID) -> HttpResponse:
    """Put a measured size into a finding."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.EXAMINE)
    measurement = queries.measurement_of(frame.case, measurement_id)
    findings = findings_to_link(frame.case)
    start = {"finding": str(measurement.finding_id or "")}
    form = UseForm(request.POST or None, findings=findings, initial=start)
    back = back_to(case_id, measurement.photograph_id)
    done = submitted(
        request, form, actions.use_measurement, case_id=case_id, measurement_id=measurement_id
    )
    if done:
        number = measurement.photograph.number
        return answer_done(request, f"{done.finding}: measured on photograph {number}.", back)
    context = {"frame": frame, "measurement": measurement, "findings": findings, "back": back}
    return answer_form(request, "measuring/use.html", context, form)


def back_to(case_id: UUID, photograph_id: UUID) -> str:
    """Return the address of a photograph's page of measuring."""
    keys = {"case_id": case_id, "photograph_id": photograph_id}
    return reverse("measuring:measure", kwargs=keys)


@confirms(STEP, Act.PHOTOGRAPH, queries.measurement_of, actions.void_measurement)
def withdraw(measurement: Measurement) -> Withdrawal:
    """Withdraw a measurement."""
    sentence = (
        f"Measurement {measurement.number} ({measurement.words}) will no longer count. A finding "
        "that took its size from it keeps that size until it is changed."
    )
    back = back_to(measurement.case_id, measurement.photograph_id)
    return of_numbered("measurement", measurement.number, sentence, back=back, says=False)
