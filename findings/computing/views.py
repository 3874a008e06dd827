"""Pages of the calculations."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import case_frame
from cases.views.confirming import confirms
from findings.calculations.registry import METHODS, NOT_BUILT, UnknownMethod, find
from findings.computing import actions, docs, page, queries, rules
from findings.computing.forms import MethodForm, VoidForm
from findings.computing.models import Calculation
from findings.computing.offered import BY_METHOD
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, attempt
from me_office.shell.templatetags.office import moment

STEP = "calculations"


@require_GET
def calculations(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """The methods that serve a case, with what is kept."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = {
        "frame": frame,
        "groups": page.groups(frame.case),
        "nobody_decides": page.NOBODY_DECIDES,
    }
    return render(request, "computing/calculations.html", context)


@require_http_methods(["GET", "POST"])
def method(request: StaffRequest, case_id: UUID, method: str) -> HttpResponse:
    """Compute by one method; keep the result once it was seen."""
    if method not in BY_METHOD:
        raise Http404
    frame = case_frame(request.user, case_id, current=STEP)
    offer = BY_METHOD[method]
    form = page.form_of(request, offer, offer.way(request.GET.get("way", "")), frame.case)
    result = _computed(form) if request.method == "POST" and form.is_valid() else None
    if result is not None and request.POST.get("act") == "keep" and _was_seen(form):
        saved = attempt(form, lambda: _keep(request, case_id, form))
        if saved:
            return answer_done(
                request,
                f"{offer.method.title}: saved in the case file.",
                "computing:kept",
                case_id=case_id,
                calculation_id=saved.pk,
            )
    context = page.method_context(request, frame, form, result)
    return answer_form(request, "computing/method.html", context, form)


def _computed(form: MethodForm) -> dict[str, object] | None:
    """The result, or None with the complaint beside its field."""
    try:
        return dict(rules.run(form.offer.name, form.plain_inputs).as_plain())
    except rules.Unusable as error:
        form.take_unusable(error)
        return None


def _was_seen(form: MethodForm) -> bool:
    """Whether this result was on the page before; else ask to look at it first."""
    digest = page.digest_of(form.plain_inputs, form.cleaned_data.get("measured_at"))
    if form.cleaned_data.get("shown") == digest:
        return True
    form.add_error(
        None, "The values changed since the result was shown. Check this one, then save it."
    )
    return False


def _keep(request: StaffRequest, case_id: UUID, form: MethodForm) -> Any:
    return actions.record_calculation(
        request.user,
        case_id=case_id,
        record_id=form.record_id,
        method=form.offer.name,
        inputs=form.plain_inputs,
        note=form.cleaned_data.get("note", ""),
        measured_at=form.cleaned_data.get("measured_at"),
        taken_from=form.taken_from,
    )


@require_GET
def kept(request: StaffRequest, case_id: UUID, calculation_id: UUID) -> HttpResponse:
    """One kept calculation."""
    frame = case_frame(request.user, case_id, current=STEP)
    calculation = queries.calculation_of(frame.case, calculation_id)
    context = {
        "frame": frame,
        "calculation": calculation,
        "method": find(calculation.method),
        "is_offered": calculation.method in BY_METHOD,
        "may_void": may(request.user, Act.CALCULATE, frame.case) and not calculation.is_voided,
        "nobody_decides": page.NOBODY_DECIDES,
        **page.shown(
            calculation.method,
            calculation.inputs,
            calculation.result,
            calculation.measured_at,
            calculation.taken_from,
        ),
    }
    return render(request, "computing/kept.html", context)


@confirms(STEP, Act.CALCULATE, queries.calculation_of, actions.void_calculation)
def void_calculation(calculation: Calculation) -> Confirmation:
    """Withdraw a kept calculation."""
    keys = {"case_id": calculation.case_id, "calculation_id": calculation.pk}
    title, by = find(calculation.method).title, calculation.made_by.printed_name
    return Confirmation(
        "Void a calculation",
        "The calculation is withdrawn and is no longer printed with the report. It stays in the "
        "history.",
        "Void the calculation",
        back=reverse("computing:kept", kwargs=keys),
        done="The calculation is voided.",
        then=reverse("computing:calculations", kwargs={"case_id": calculation.case_id}),
        intro=f"{title}, saved {moment(calculation.made_at)} by {by}",
        in_step=False,
        form_class=VoidForm,
    )


@require_GET
def documentation(request: StaffRequest) -> HttpResponse:
    """All methods, each with its page."""
    context = {"methods": METHODS, "not_built": NOT_BUILT}
    return render(request, "computing/docs.html", context)


@require_GET
def method_documentation(request: StaffRequest, method: str) -> HttpResponse:
    """Formula, range, sources, cautions, fields and a worked example of one method."""
    try:
        found = find(method)
    except UnknownMethod:
        raise Http404 from None
    return render(request, "computing/doc.html", docs.context_of(found))
