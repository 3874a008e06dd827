"""Wound paths: one panel beside the chart."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from findings import queries
from findings.chart.views import finding_to_change
from findings.paths import actions
from findings.paths.forms import WoundPathForm
from findings.paths.models import WoundPath
from findings.views.parts import answer, row_to_change, void_row


@require_http_methods(["GET", "POST"])
def new_path(request: HttpRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Record the path of a wound."""
    finding = finding_to_change(request, case_id, finding_id)
    ended = queries.examination_has_ended(case_id)
    form = WoundPathForm(request.POST or None, finding=finding, ended=ended)
    return answer(
        request,
        case_id,
        finding_id,
        form,
        lambda: actions.record_path(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=form.record_id,
            entry=form.said,
            reason=form.reason,
        ),
        panel="path_form",
        panel_title="Add the wound path",
    )


@require_http_methods(["GET", "POST"])
def change_path(request: HttpRequest, case_id: UUID, path_id: UUID) -> HttpResponse:
    """Change a wound path."""
    path = row_to_change(request, case_id, WoundPath, path_id)
    form = WoundPathForm(request.POST or None, instance=path, finding=path.finding)
    return answer(
        request,
        case_id,
        path.finding_id,
        form,
        lambda: actions.change_path(
            request.user,
            case_id=case_id,
            path_id=path_id,
            version=form.version,
            entry=form.said,
            reason=form.reason,
        ),
        panel="path_form",
        panel_title="Change the wound path",
        void_name="findings:path-void",
        record=path,
    )


@require_http_methods(["GET", "POST"])
def void_path(request: HttpRequest, case_id: UUID, path_id: UUID) -> HttpResponse:
    """Void a wound path."""
    path = row_to_change(request, case_id, WoundPath, path_id)
    return void_row(
        request,
        case_id,
        path,
        lambda form: actions.void_path(
            request.user,
            case_id=case_id,
            path_id=path_id,
            version=form.version,
            reason=form.reason,
        ),
        f"The wound path of finding {path.finding.number}",
    )
