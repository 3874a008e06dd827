"""The body's receipt, the decedent and how identity was established."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases import actions
from cases.access import Act, may
from cases.course import CaseFrame, case_frame
from cases.forms.body import BodyReceiptForm, DecedentForm
from cases.models import BodyReceipt, Identification, NotDone
from cases.queries import file
from cases.rules.case import IdentityState
from cases.rules.decedent import VISUAL_CHANGED, changed_words
from cases.views import facts
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@require_GET
def body(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the body's receipt, the decedent and the steps of identification."""
    frame = case_frame(request.user, case_id, current="body")
    receipt = file.receipt_of(frame.case)
    steps = list(reversed(file.identifications_of(frame.case)))
    context = {
        "frame": frame,
        "changed_face": _changed_face(frame, receipt, steps),
        "receipt": receipt,
        "not_here": None if receipt else file.not_done_of(frame.case, NotDone.BODY),
        "receipt_facts": facts.receipt_facts(receipt) if receipt else [],
        "decedent_facts": facts.decedent_facts(frame.decedent),
        "identifications": steps,
        "may_receive": may(request.user, Act.RECEIVE_BODY, frame.case),
        "may_identify": may(request.user, Act.IDENTIFY, frame.case),
    }
    return render(request, "cases/body.html", context)


def _changed_face(
    frame: CaseFrame, receipt: BodyReceipt | None, steps: list[Identification]
) -> str:
    """A caution where the step that counts is by sight and the file speaks of a changed body."""
    counts = steps[0] if steps else None
    if counts is None or counts.method != "visual" or counts.identity != IdentityState.CONFIRMED:
        return ""
    recorded = file.scene_of(frame.case)
    texts = [receipt.condition if receipt else "", frame.case.heading, frame.decedent.description]
    if recorded:
        texts += [recorded.body_marks, recorded.narrative, recorded.environment]
    words = changed_words(*texts)
    return VISUAL_CHANGED.say(words=", ".join(words)) if words else ""


@require_http_methods(["GET", "POST"])
def edit_receipt(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Note the body's receipt."""
    frame = case_frame(request.user, case_id, current="body", act=Act.RECEIVE_BODY)
    receipt = file.receipt_of(frame.case)
    first_time = {"received_at": timezone.now(), "received_from": frame.case.place_of_death}
    initial = {} if receipt else first_time
    form = BodyReceiptForm(request.POST or None, instance=receipt, initial=initial)
    saved = submitted(request, form, actions.receive_body, case_id=case_id)
    if saved:
        return answer_done(
            request, f"Saved: body received, tag {saved.tag_number}.", "cases:body", case_id=case_id
        )
    return answer_form(request, "cases/edit_receipt.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def edit_decedent(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Change what is known of the decedent."""
    frame = case_frame(request.user, case_id, current="body", act=Act.IDENTIFY)
    # The form changes the row it is given while it checks; the page keeps its own.
    form = DecedentForm(request.POST or None, instance=file.decedent_of(frame.case))
    saved = submitted(request, form, actions.describe_decedent, case_id=case_id)
    if saved:
        return answer_done(request, f"Saved: {saved.full_name}.", "cases:body", case_id=case_id)
    return answer_form(request, "cases/edit_decedent.html", {"frame": frame}, form)
