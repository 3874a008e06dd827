"""Lividity and rigor by region: one page, with what to ask where it does not fit the scene."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import URLPattern, path
from django.views.decorators.http import require_http_methods

from cases.access import Act, case_for
from cases.course import CaseFrame
from findings import queries
from findings.chart.page import examined
from findings.computing.fitting import LIVIDITY_AND_RIGOR, fitting
from findings.forms import VoidForm
from findings.models import Examination
from findings.postmortem import actions
from findings.postmortem import queries as postmortem_queries
from findings.postmortem.forms import LividityForm, RigorForm
from findings.postmortem.models import Lividity, Rigor
from findings.postmortem.wording import SOURCES, distribution_cautions
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known
from me_office.shell.forms import answer_done, answer_form, submitted


@dataclass(frozen=True)
class RowKind:
    """One of the page's two tables, row by row."""

    model: type[Lividity] | type[Rigor]
    form: type[LividityForm] | type[RigorForm]
    record: Callable[..., Any]
    change: Callable[..., Any]
    void: Callable[..., Any]


KINDS = {
    "lividity": RowKind(
        Lividity, LividityForm, actions.record_lividity, actions.change_lividity,
        actions.void_lividity,
    ),
    "rigor": RowKind(
        Rigor, RigorForm, actions.record_rigor, actions.change_rigor, actions.void_rigor
    ),
}  # fmt: skip


def _page(request: StaffRequest, case_id: UUID, form: Any, what: str, **more: Any) -> HttpResponse:
    """The page with one of its two forms in use; the other, when adding, stands empty."""
    of_whole = examined(request, case_id, form)
    if of_whole is None:
        return redirect("findings:examination", case_id=case_id)
    frame: CaseFrame = of_whole["frame"]
    examination: Examination = of_whole["examination"]
    livid, stiff = (
        postmortem_queries.lividity_of(frame.case),
        postmortem_queries.rigor_of(frame.case),
    )
    found = postmortem_queries.scene_lividity(examination)
    ended = examination.ended_at is not None
    forms = {
        name: of.form(initial=_next(name, livid, stiff), ended=ended, auto_id=f"{name}_%s")
        for name, of in KINDS.items()
    }
    context = {
        **of_whole,
        "form": form,
        "what": what,
        "lividity_form": form if what == "lividity" and form else forms["lividity"],
        "rigor_form": form if what == "rigor" and form else forms["rigor"],
        "livid": livid,
        "stiff": stiff,
        "position_found": found.position,
        "cautions": distribution_cautions(
            found, (postmortem_queries.as_region(row) for row in livid)
        ),
        "sources": SOURCES,
        "words": postmortem_queries.postmortem_words(frame.case),
        "fitting": fitting(frame.case.pk, LIVIDITY_AND_RIGOR),
        **more,
    }
    return answer_form(request, "findings/postmortem.html", context, form)


def _next(name: str, livid: list[Lividity], stiff: list[Rigor]) -> dict[str, str]:
    """The next region or joint of the list, so that a whole set is entered without choosing."""
    if name == "lividity":
        there = {row.region for row in livid}
        left = [key for key, _ in Lividity.REGIONS if key not in there]
        return {"region": left[0]} if left else {}
    done = {row.joint for row in stiff}
    joints = [key for key, _ in Rigor.JOINTS if key not in done]
    return {"joint": joints[0]} if joints else {}


@require_http_methods(["GET", "POST"])
def postmortem(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Lividity and rigor, and one more row of either."""
    if request.method == "GET":
        return _page(request, case_id, LividityForm(), "")
    what = "rigor" if request.POST.get("what") == "rigor" else "lividity"
    ended = queries.examination_has_ended(case_id)
    form = KINDS[what].form(request.POST, ended=ended, auto_id=f"{what}_%s")
    saved = submitted(request, form, KINDS[what].record, case_id=case_id)
    if saved:
        return answer_done(request, f"{saved} is saved.", f"{request.path}#{what}")
    return _page(request, case_id, form, what)


@require_http_methods(["GET", "POST"])
def change_row(request: StaffRequest, case_id: UUID, kind: str, row_id: UUID) -> HttpResponse:
    """Change the lividity of a region, or the rigor of a joint."""
    of = KINDS[kind]
    form = of.form(request.POST or None, instance=_row(request, case_id, of, row_id))
    if submitted(request, form, of.change, case_id=case_id, **{f"{kind}_id": row_id}):
        return redirect("findings:postmortem", case_id=case_id)
    return _page(request, case_id, form, kind, changing=True)


@require_http_methods(["GET", "POST"])
def void_row(request: StaffRequest, case_id: UUID, kind: str, row_id: UUID) -> HttpResponse:
    """Void the lividity of a region, or the rigor of a joint."""
    of = KINDS[kind]
    row = _row(request, case_id, of, row_id)
    form = VoidForm(request.POST or None, record=row)
    if submitted(request, form, of.void, case_id=case_id, **{f"{kind}_id": row_id}):
        return redirect("findings:postmortem", case_id=case_id)
    sentence = f"“{row}” is withdrawn. It stays in the history."
    return _page(request, case_id, form, "", voiding=True, sentence=sentence)


def routes(case: str) -> list[URLPattern]:
    """Return the addresses of the rows of both kinds below a case's address."""
    found = []
    for kind in KINDS:
        row = f"{case}{kind}/<uuid:row_id>/"
        found += [
            path(row, change_row, {"kind": kind}, f"{kind}-change"),
            path(f"{row}void/", void_row, {"kind": kind}, f"{kind}-void"),
        ]
    return found


def _row(request: StaffRequest, case_id: UUID, of: RowKind, row_id: UUID) -> Any:
    case = case_for(request.user, Act.EXAMINE, case_id)
    row = of.model.objects.filter(case=case, pk=row_id).first()
    return known(row, "row")
