"""Organ weights."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act, case_for
from cases.course import CaseFrame
from findings.calculations.organ_reference import POPULATION
from findings.chart.page import examined
from findings.computing.fitting import ORGANS, fitting
from findings.forms import VoidForm
from findings.organs import actions
from findings.organs import queries as organ_queries
from findings.organs import table as organ_table
from findings.organs.forms import OrganWeightForm
from findings.organs.models import OrganWeight
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known
from me_office.shell.forms import answer_done, answer_form, submitted


def _page(request: StaffRequest, case_id: UUID, form: Any, **more: Any) -> HttpResponse:
    of_whole = examined(request, case_id, form)
    if of_whole is None:
        return redirect("findings:examination", case_id=case_id)
    frame: CaseFrame = of_whole["frame"]
    age = frame.decedent.age_years
    rows, warnings = organ_table.table(
        organ_queries.organ_weights_of(frame.case),
        frame.decedent.sex,
        float(age) if age is not None else None,
    )
    if not form.initial.get("organ", True):
        # The next organ of the list, so that a whole set is typed without choosing.
        form.initial["organ"] = next((row.organ for row in rows if row.weight is None), "other")
    context = {
        **of_whole,
        "rows": rows,
        "warnings": warnings,
        "population": POPULATION[frame.decedent.sex]
        if any(row.reference.range_words for row in rows)
        else "",
        "no_reference": organ_table.no_reference(float(age) if age is not None else None),
        "fitting": fitting(frame.case.pk, ORGANS),
        "cautions": organ_table.CAUTIONS,
        **more,
    }
    return answer_form(request, "findings/organs.html", context, form)


@require_http_methods(["GET", "POST"])
def organs(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """The organ weights, and one more."""
    form = OrganWeightForm(request.POST or None, initial={"organ": request.GET.get("organ")})
    saved = submitted(request, form, actions.weigh_organ, case_id=case_id)
    if saved:
        words = f"{saved.get_organ_display()}, {saved.weight_g} g saved."
        return answer_done(request, words, "findings:organs", case_id=case_id)
    return _page(request, case_id, form)


def _weight(request: StaffRequest, case_id: UUID, organ_weight_id: UUID) -> OrganWeight:
    case = case_for(request.user, Act.EXAMINE, case_id)
    weight: OrganWeight | None = OrganWeight.objects.filter(case=case, pk=organ_weight_id).first()
    return known(weight, "organ weight")


@require_http_methods(["GET", "POST"])
def change_organ(request: StaffRequest, case_id: UUID, organ_weight_id: UUID) -> HttpResponse:
    """Change an organ weight."""
    weight = _weight(request, case_id, organ_weight_id)
    form = OrganWeightForm(request.POST or None, instance=weight)
    saved = submitted(
        request, form, actions.change_organ_weight, case_id=case_id, organ_weight_id=organ_weight_id
    )
    if saved:
        words = f"{saved.get_organ_display()}, {saved.weight_g} g saved."
        return answer_done(request, words, "findings:organs", case_id=case_id)
    return _page(request, case_id, form, changing=organ_weight_id)


@require_http_methods(["GET", "POST"])
def void_organ(request: StaffRequest, case_id: UUID, organ_weight_id: UUID) -> HttpResponse:
    """Void an organ weight."""
    weight = _weight(request, case_id, organ_weight_id)
    form = VoidForm(request.POST or None, record=weight)
    saved = submitted(
        request, form, actions.void_organ_weight, case_id=case_id, organ_weight_id=organ_weight_id
    )
    if saved:
        return answer_done(
            request, f"{saved.get_organ_display()} is voided.", "findings:organs", case_id=case_id
        )
    sentence = (
        f"The weight of the {weight.get_organ_display().lower()}, {weight.weight_g} g, is "
        "withdrawn. It stays in the history."
    )
    return _page(request, case_id, form, voiding=organ_weight_id, sentence=sentence)
