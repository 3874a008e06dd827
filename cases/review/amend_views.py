"""Pages on which a datum of a signed case is amended."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.certification.forms import CertificationForm
from cases.course import case_frame
from cases.forms.body import DecedentForm
from cases.forms.scene import IdentificationForm
from cases.models import Case
from cases.review import amending
from cases.review.amend_layout import groups_of
from cases.review.announced import said_before_signing
from cases.review.forms import AmendForm, chosen_result
from cases.review.late import results_to_name
from cases.review.models import Addendum
from cases.review.rules import ADDED
from evidence.specimens.forms import SpecimenForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, attempt

TITLES = {
    "cause-and-manner": "Amend cause and manner",
    "decedent": "Amend who the decedent is",
    "identification": "Add a step of identification",
    "specimen": "Amend a specimen",
}
FORMS: dict[str, Any] = {
    "cause-and-manner": CertificationForm,
    "decedent": DecedentForm,
    "specimen": SpecimenForm,
}
LATER_STEP_STANDS = "A later step applies: the identity stays as it was."


@require_http_methods(["GET", "POST"])
def amend(request: StaffRequest, case_id: UUID, what: str, of: UUID | None = None) -> HttpResponse:
    """Change a datum of a signed case; the first version is kept and printed."""
    target = amending.TARGETS.get(what)
    if what not in TITLES or (of is not None) != bool(target and target.many):
        raise Http404
    frame = case_frame(request.user, case_id, current="report", act=Act.AMEND_SIGNED)
    form = _form_of(what, frame.case, of, request.POST or None)
    sign = AmendForm(
        request.POST or None,
        of=form,
        actor=request.user,
        results=results_to_name(case_id),
        auto_id="amend_%s",
        initial={"rests_on": request.GET.get("result", "")},
    )
    if request.method == "POST" and all([form.is_valid(), sign.is_valid()]):
        saved = attempt(sign, _act(request, case_id, what, of, form, sign))
        if saved:
            said = f"Amendment {saved.number} is signed and kept."
            if saved.amends == amending.EARLIER_STEP:
                said = f"{said} {LATER_STEP_STANDS}"
            return answer_done(request, said, "review:addenda", case_id=case_id)
    context = {
        "frame": frame, "form": form, "sign": sign, "title": TITLES[what], "statement": ADDED,
        "follows": said_before_signing(request.user),
        "by_two": settings.SECOND_SIGNATURE,
    }  # fmt: skip
    if target is not None:
        context["groups"] = groups_of(what, form, _record(what, frame.case, of))
    status = 422 if request.method == "POST" else 200
    return render(request, "review/amend.html", context, status=status)


def _form_of(what: str, case: Case, of: UUID | None, posted: Any) -> Any:
    if what == "identification":
        return IdentificationForm(posted)
    form = FORMS[what](posted, instance=_record(what, case, of))
    # An amendment has one reason; it is asked beside the signature.
    form.fields.pop("reason", None)
    return form


def _record(what: str, case: Case, of: UUID | None) -> Any:
    which = {} if of is None else {"pk": of}
    record = amending.TARGETS[what].model.objects.filter(case_id=case.pk, **which).first()
    if record is None or getattr(record, "voided_at", None):
        raise Http404
    return record


def _act(
    request: StaffRequest, case_id: UUID, what: str, of: UUID | None, form: Any, sign: AmendForm
) -> Callable[[], Addendum]:
    common = {
        "case_id": case_id,
        "record_id": sign.record_id,
        "entry": form.entry,
        "reason": sign.cleaned_data["why"],
        "rests_on": chosen_result(sign),
    }
    if what == "identification":
        # Its key comes with the form, or a click too many would be another step.
        return lambda: amending.amend_identity(request.user, step_id=form.record_id, **common)
    which = {"what": what, "of": of, "version": form.version}
    return lambda: amending.amend_record(request.user, **which, **common)
