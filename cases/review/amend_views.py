"""Pages on which a datum of a signed case is amended."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.certification.forms import CertificationForm
from cases.course import case_frame
from cases.forms.body import DecedentForm
from cases.forms.scene import IdentificationForm
from cases.models import Case
from cases.review import amending
from cases.review.amend_layout import groups_of
from cases.review.forms import AmendForm
from cases.review.models import Addendum
from me_office.audit.ids import new_id
from me_office.shell.forms import attempt

TITLES = {
    "cause-and-manner": "Amend cause and manner",
    "decedent": "Amend who the decedent is",
    "identification": "Add a step of identification",
}
FORMS: dict[str, Any] = {"cause-and-manner": CertificationForm, "decedent": DecedentForm}


@require_http_methods(["GET", "POST"])
def amend(request: HttpRequest, case_id: UUID, what: str) -> HttpResponse:
    """Change a datum of a signed case; the first version is kept and printed."""
    if what not in TITLES:
        raise Http404
    frame = case_frame(request.user, case_id, current="report", act=Act.ADDEND)
    form = _form_of(what, frame.case, request.POST or None)
    sign = AmendForm(request.POST or None, actor=request.user, auto_id="amend_%s")
    if request.method == "POST" and all([form.is_valid(), sign.is_valid()]):
        saved = attempt(sign, _act(request, case_id, what, form, sign))
        if saved:
            messages.success(request, f"Amendment {saved.number} is signed and kept.")
            return redirect("review:addenda", case_id=case_id)
    context = {"frame": frame, "form": form, "sign": sign, "title": TITLES[what]}
    if what in amending.TARGETS:
        context["groups"] = groups_of(what, form, _record(what, frame.case))
    status = 422 if request.method == "POST" else 200
    return render(request, "review/amend.html", context, status=status)


def _form_of(what: str, case: Case, posted: Any) -> Any:
    if what == "identification":
        return IdentificationForm(posted)
    form = FORMS[what](posted, instance=_record(what, case))
    # An amendment has one reason; it is asked beside the signature.
    form.fields.pop("reason", None)
    return form


def _record(what: str, case: Case) -> Any:
    record = amending.TARGETS[what].model.objects.filter(case_id=case.pk).first()
    if record is None:
        raise Http404
    return record


def _act(
    request: HttpRequest, case_id: UUID, what: str, form: Any, sign: AmendForm
) -> Callable[[], Addendum]:
    common = {
        "case_id": case_id,
        "record_id": sign.record_id,
        "entry": form.entry,
        "reason": sign.cleaned_data["why"],
    }
    if what == "identification":
        return lambda: amending.amend_identity(request.user, step_id=new_id(), **common)
    return lambda: amending.amend_record(request.user, what=what, version=form.version, **common)
