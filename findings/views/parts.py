"""What hangs on a finding: marks, layers, interpretations, wound paths.

One table, and one set of views: a panel beside the chart that adds, changes or withdraws.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import URLPattern, path
from django.views.decorators.http import require_http_methods

from cases.access import Act, case_for
from findings import actions, queries
from findings.chart.page import chart_url, show
from findings.chart.views import finding_to_change
from findings.forms import (
    ChartBody,
    InterpretationForm,
    LayerForm,
    MarkForm,
    VoidForm,
    reason_for_adding,
)
from findings.models import Finding, Interpretation, LayerFinding, Mark
from findings.paths import actions as path_actions
from findings.paths.forms import WoundPathForm
from findings.paths.models import WoundPath
from findings.words.layers import next_layer
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known
from me_office.audit.fields import said_of
from me_office.shell.forms import OfficeFormMixin, submitted


@dataclass(frozen=True)
class Part:
    """A kind of record that hangs on a finding, and how the panel beside the chart speaks of it."""

    model: type[Any]
    add: Callable[..., Any]
    change: Callable[..., Any]
    void: Callable[..., Any]
    begun: Callable[[Any, Finding, bool], Any]
    """The form of a new one, of what was posted, the finding, and whether its time has ended."""
    opened: Callable[[Any, Any], Any]
    """The form of one that stands, of what was posted and the record."""
    named: str
    """What it is called where it is said that it was saved."""
    adding: str
    changing: str
    withdrawn: Callable[[Any], str]
    panel: str = "form"
    changed_by: str = "change"
    """The last word of the address's name for changing it."""
    offers_void: bool = True
    more: Mapping[str, Any] = field(default_factory=dict)


def _new_mark(posted: Any, finding: Finding, ended: bool) -> MarkForm:
    form = MarkForm(posted, on=ChartBody.of(finding.examination))
    reason_for_adding(form, ended=ended)
    return form


def _mark(posted: Any, mark: Mark) -> MarkForm:
    drawn = said_of(mark, ("view", "kind", "end"))
    counted = {"count_low": mark.count_low, "count_high": mark.count_high}
    points = "[" + ",".join(f"[{u},{v}]" for u, v in mark.points) + "]"
    on = ChartBody.of(mark.finding.examination)
    initial = {**drawn, **counted, "points": points}
    return MarkForm(posted, on=on, record=mark, initial=initial)


def _new_layer(posted: Any, finding: Finding, ended: bool) -> LayerForm:
    offered = next_layer((row.layer for row in finding.layers.all()), region=finding.region)
    return LayerForm(posted, initial={"layer": offered}, ended=ended)


PARTS = {
    "mark": Part(
        Mark, actions.place_mark, actions.move_mark, actions.void_mark,
        begun=_new_mark,
        opened=_mark,
        named="mark",
        adding="Add a mark",
        changing="Move or redraw the mark",
        withdrawn=lambda mark: "This mark",
        panel="mark",
        changed_by="move",
        offers_void=False,
        more={"placing": "one"},
    ),
    "layer": Part(
        LayerFinding, actions.record_layer, actions.change_layer, actions.void_layer,
        begun=_new_layer,
        opened=lambda posted, layer: LayerForm(posted, instance=layer),
        named="layer",
        adding="Add a layer",
        changing="Change the layer",
        withdrawn=lambda layer: (
            f"The layer {layer.get_layer_display()} of finding {layer.finding.number}"
        ),
    ),
    "interpretation": Part(
        Interpretation, actions.record_interpretation, actions.change_interpretation,
        actions.void_interpretation,
        begun=lambda posted, finding, ended: InterpretationForm(posted, ended=ended),
        opened=lambda posted, meant: InterpretationForm(posted, instance=meant),
        named="interpretation",
        adding="Add what it may mean",
        changing="Change what it may mean",
        withdrawn=lambda meant: f"“{meant.statement}”, {meant.standing},",
    ),
    "path": Part(
        WoundPath, path_actions.record_path, path_actions.change_path, path_actions.void_path,
        begun=lambda posted, finding, ended: WoundPathForm(posted, finding=finding, ended=ended),
        opened=lambda posted, track: WoundPathForm(posted, instance=track, finding=track.finding),
        named="wound path",
        adding="Add the wound path",
        changing="Change the wound path",
        withdrawn=lambda track: f"The wound path of finding {track.finding.number}",
        panel="path_form",
    ),
}  # fmt: skip


def routes(case: str) -> list[URLPattern]:
    """Return the addresses of all parts below a case's address; keys are named by the part."""
    found = []
    for kind, part in PARTS.items():
        one = f"{case}{kind}s/<uuid:{kind}_id>/"
        said = {"kind": kind}
        found += [
            path(f"{case}findings/<uuid:finding_id>/{kind}s/", add_part, said, f"{kind}-new"),
            path(one, change_part, said, f"{kind}-{part.changed_by}"),
            path(f"{one}void/", void_part, said, f"{kind}-void"),
        ]
    return found


@require_http_methods(["GET", "POST"])
def add_part(request: StaffRequest, case_id: UUID, kind: str, finding_id: UUID) -> HttpResponse:
    """Add a part to a finding."""
    part = PARTS[kind]
    finding = finding_to_change(request, case_id, finding_id)
    ended = queries.examination_has_ended(case_id)
    form = part.begun(request.POST or None, finding, ended)
    done = submitted(request, form, part.add, case_id=case_id, finding_id=finding_id)
    context = {"panel": part.panel, "panel_title": part.adding, **part.more}
    if done:
        messages.success(request, f"Finding {finding.number} has a new {part.named}.")
    return _answer(request, case_id, finding_id, form, done, context)


@require_http_methods(["GET", "POST"])
def change_part(request: StaffRequest, case_id: UUID, kind: str, **key: UUID) -> HttpResponse:
    """Change a part of a finding."""
    part = PARTS[kind]
    row = _row_to_change(request, case_id, part, key)
    form = part.opened(request.POST or None, row)
    done = submitted(request, form, part.change, case_id=case_id, **key)
    context = {"panel": part.panel, "panel_title": part.changing, **part.more}
    if part.offers_void:
        context |= {"void_name": f"findings:{kind}-void", "record": row}
    if done:
        messages.success(request, f"The {part.named} of finding {row.finding.number} is changed.")
    return _answer(request, case_id, row.finding_id, form, done, context)


@require_http_methods(["GET", "POST"])
def void_part(request: StaffRequest, case_id: UUID, kind: str, **key: UUID) -> HttpResponse:
    """Withdraw a part of a finding, after a reason was given."""
    part = PARTS[kind]
    row = _row_to_change(request, case_id, part, key)
    form = VoidForm(request.POST or None, record=row)
    done = submitted(request, form, part.void, case_id=case_id, **key)
    sentence = f"{part.withdrawn(row)} is withdrawn. It stays in the history."
    context = {"panel": "void", "sentence": sentence}
    if done:
        messages.success(request, f"The {part.named} of finding {row.finding.number} is withdrawn.")
    return _answer(request, case_id, row.finding_id, form, done, context)


def _row_to_change(
    request: StaffRequest, case_id: UUID, part: Part, key: Mapping[str, UUID]
) -> Any:
    """A record of the case with its finding, if the person may change it. Raises NotKnown."""
    case = case_for(request.user, Act.EXAMINE, case_id)
    [record_id] = key.values()
    row = part.model.objects.filter(case=case, pk=record_id).select_related("finding").first()
    return known(row, "record")


def _answer(
    request: StaffRequest,
    case_id: UUID,
    finding_id: UUID,
    form: OfficeFormMixin,
    done: Any,
    context: Mapping[str, Any],
) -> HttpResponse:
    """Show the finding once it is saved, until then the panel with its form."""
    if done:
        return redirect(chart_url(case_id, finding_id, request.POST.get("view", "")))
    return show(request, case_id, finding_id=finding_id, form=form, **context)
