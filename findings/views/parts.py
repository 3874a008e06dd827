"""What hangs on a finding: marks, layers, interpretations. One panel beside the chart each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act, case_for
from findings import actions, queries
from findings.chart.page import chart_url, show
from findings.chart.views import finding_to_change
from findings.forms import (
    InterpretationForm,
    LayerForm,
    MarkForm,
    VoidForm,
    reason_for_adding,
)
from findings.models import Interpretation, LayerFinding, Mark
from findings.words.layers import next_layer
from me_office.audit.errors import NotKnown
from me_office.shell.forms import OfficeFormMixin, attempt


def row_to_change(request: HttpRequest, case_id: UUID, model: Any, record_id: UUID) -> Any:
    """A record of the case with its finding, if the person may change it. Raises NotKnown."""
    case = case_for(request.user, Act.EXAMINE, case_id)
    row = model.objects.filter(case=case, pk=record_id).select_related("finding").first()
    if row is None:
        raise NotKnown("There is no such record in this case.")
    return row


def answer(
    request: HttpRequest,
    case_id: UUID,
    finding_id: UUID,
    form: OfficeFormMixin,
    save: Callable[[], Any],
    **panel: Any,
) -> HttpResponse:
    """Save a valid form and show its finding, or show the panel with the form."""
    if request.method == "POST" and form.is_valid() and attempt(form, save):  # type: ignore[attr-defined]
        return redirect(chart_url(case_id, finding_id, request.POST.get("view", "")))
    return show(request, case_id, finding_id=finding_id, form=form, **panel)


@require_http_methods(["GET", "POST"])
def new_mark(request: HttpRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Place one more mark of a finding."""
    finding_to_change(request, case_id, finding_id)
    form = MarkForm(request.POST or None)
    reason_for_adding(form, ended=queries.examination_has_ended(case_id))
    return answer(
        request,
        case_id,
        finding_id,
        form,
        lambda: actions.place_mark(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=form.record_id,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="mark",
        placing="one",
        panel_title="Add a mark",
    )


@require_http_methods(["GET", "POST"])
def move_mark(request: HttpRequest, case_id: UUID, mark_id: UUID) -> HttpResponse:
    """Move or redraw a mark."""
    mark = row_to_change(request, case_id, Mark, mark_id)
    form = MarkForm(
        request.POST or None,
        record=mark,
        initial={
            "view": mark.view,
            "kind": mark.kind,
            "points": _json(mark.points),
            "end": mark.end,
            "count_low": mark.count_low,
            "count_high": mark.count_high,
        },
    )
    return answer(
        request,
        case_id,
        mark.finding_id,
        form,
        lambda: actions.move_mark(
            request.user,
            case_id=case_id,
            mark_id=mark_id,
            version=form.version,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="mark",
        placing="one",
        panel_title="Move or redraw the mark",
    )


def _json(points: list[list[float]]) -> str:
    return "[" + ",".join(f"[{u},{v}]" for u, v in points) + "]"


@require_http_methods(["GET", "POST"])
def new_layer(request: HttpRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Record a layer under a finding."""
    finding = finding_to_change(request, case_id, finding_id)
    offered = next_layer((row.layer for row in finding.layers.all()), region=finding.region)
    ended = queries.examination_has_ended(case_id)
    form = LayerForm(request.POST or None, initial={"layer": offered}, ended=ended)
    return answer(
        request,
        case_id,
        finding_id,
        form,
        lambda: actions.record_layer(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=form.record_id,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="form",
        panel_title="Add a layer",
    )


@require_http_methods(["GET", "POST"])
def change_layer(request: HttpRequest, case_id: UUID, layer_id: UUID) -> HttpResponse:
    """Change a layer."""
    layer = row_to_change(request, case_id, LayerFinding, layer_id)
    form = LayerForm(request.POST or None, instance=layer)
    return answer(
        request,
        case_id,
        layer.finding_id,
        form,
        lambda: actions.change_layer(
            request.user,
            case_id=case_id,
            layer_id=layer_id,
            version=form.version,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="form",
        panel_title="Change the layer",
        void_name="findings:layer-void",
        record=layer,
    )


@require_http_methods(["GET", "POST"])
def new_interpretation(request: HttpRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Record what a finding may mean."""
    finding_to_change(request, case_id, finding_id)
    ended = queries.examination_has_ended(case_id)
    form = InterpretationForm(request.POST or None, ended=ended)
    return answer(
        request,
        case_id,
        finding_id,
        form,
        lambda: actions.record_interpretation(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=form.record_id,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="form",
        panel_title="Add what it may mean",
    )


@require_http_methods(["GET", "POST"])
def change_interpretation(
    request: HttpRequest, case_id: UUID, interpretation_id: UUID
) -> HttpResponse:
    """Change an interpretation."""
    standing = row_to_change(request, case_id, Interpretation, interpretation_id)
    form = InterpretationForm(request.POST or None, instance=standing)
    return answer(
        request,
        case_id,
        standing.finding_id,
        form,
        lambda: actions.change_interpretation(
            request.user,
            case_id=case_id,
            interpretation_id=interpretation_id,
            version=form.version,
            entry=form.entry,
            reason=form.reason,
        ),
        panel="form",
        panel_title="Change what it may mean",
        void_name="findings:interpretation-void",
        record=standing,
    )


def void_row(
    request: HttpRequest,
    case_id: UUID,
    row: Any,
    save: Callable[[VoidForm], Any],
    words: str,
) -> HttpResponse:
    """Withdraw what hangs on a finding, after a reason was given."""
    form = VoidForm(request.POST or None, record=row)
    sentence = f"{words} is withdrawn. It stays in the history."
    return answer(
        request, case_id, row.finding_id, form, lambda: save(form), panel="void", sentence=sentence
    )


@require_http_methods(["GET", "POST"])
def void_mark(request: HttpRequest, case_id: UUID, mark_id: UUID) -> HttpResponse:
    """Void a mark."""
    return void_row(
        request,
        case_id,
        row_to_change(request, case_id, Mark, mark_id),
        lambda form: actions.void_mark(
            request.user,
            case_id=case_id,
            mark_id=mark_id,
            version=form.version,
            reason=form.reason,
        ),
        "This mark",
    )


@require_http_methods(["GET", "POST"])
def void_layer(request: HttpRequest, case_id: UUID, layer_id: UUID) -> HttpResponse:
    """Void a layer."""
    layer = row_to_change(request, case_id, LayerFinding, layer_id)
    return void_row(
        request,
        case_id,
        layer,
        lambda form: actions.void_layer(
            request.user,
            case_id=case_id,
            layer_id=layer_id,
            version=form.version,
            reason=form.reason,
        ),
        f"The layer {layer.get_layer_display()} of finding {layer.finding.number}",
    )


@require_http_methods(["GET", "POST"])
def void_interpretation(
    request: HttpRequest, case_id: UUID, interpretation_id: UUID
) -> HttpResponse:
    """Void an interpretation."""
    standing = row_to_change(request, case_id, Interpretation, interpretation_id)
    return void_row(
        request,
        case_id,
        standing,
        lambda form: actions.void_interpretation(
            request.user,
            case_id=case_id,
            interpretation_id=interpretation_id,
            version=form.version,
            reason=form.reason,
        ),
        f"“{standing.statement}”, {standing.standing},",
    )
