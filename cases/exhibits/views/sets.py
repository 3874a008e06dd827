"""Pages of exhibit sets: the list, one set, its form, its withdrawal."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from cases.access import Act, case_for, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.exhibits import actions, queries
from cases.exhibits.forms import MoveForm, OrderForm, SetForm
from cases.exhibits.models import ExhibitSet
from cases.exhibits.printing import print_contact_sheet
from cases.exhibits.rulings import Ruling
from cases.models import Case
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.shell.confirming import Confirmation
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, is_part, submitted

STEP = "court"
PREPARE = Act.PREPARE_EXHIBITS


@require_GET
def exhibit_sets(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's sets and the log of its redactions."""
    frame = case_frame(request.user, case_id, current=STEP)
    decision = decision_on(request.user, PREPARE, frame.case)
    context = {
        "frame": frame,
        "sets": queries.sets_of(frame.case),
        "case_id": case_id,
        **log_of(frame.case),
        "may_prepare": decision.allowed,
        "why_not": decision.why,
    }
    return render(request, "exhibits/sets.html", context)


def log_of(case: Case) -> dict[str, object]:
    """Return what the log of redactions needs: those that were made, and those asked for."""
    asked = queries.redactions_asked_for(case)
    return {
        "redactions": queries.redactions_of(case),
        "asked": asked,
        "under_way": any(one.is_under_way for one in asked),
    }


@require_http_methods(["GET", "POST"])
def make_set(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Begin a set."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    form = SetForm(request.POST or None, case=frame.case)
    saved = submitted(request, form, actions.make_exhibit_set, case_id=case_id)
    if saved:
        return redirect("exhibits:choose", case_id=case_id, set_id=saved.pk)
    return answer_form(request, "exhibits/set_form.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def change_set(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Change what a set is called and what it is for."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.set_of(frame.case, set_id)
    form = SetForm(
        request.POST or None, instance=queries.set_of(frame.case, set_id), case=frame.case
    )
    saved = submitted(request, form, actions.change_exhibit_set, case_id=case_id, set_id=set_id)
    if saved:
        return answer_done(
            request, "The set is changed.", "exhibits:set", case_id=case_id, set_id=set_id
        )
    context = {"frame": frame, "exhibit_set": shown}
    return answer_form(request, "exhibits/set_form.html", context, form)


@require_http_methods(["GET", "POST"])
def copy_set(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Make a set of its own with the same exhibits, for the other side or another hearing."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    source = queries.set_of(frame.case, set_id)
    same = {"court": source.court, "cause_number": source.cause_number}
    form = SetForm(request.POST or None, case=frame.case, initial=same)
    saved = submitted(request, form, actions.copy_exhibit_set, case_id=case_id, set_id=set_id)
    if saved:
        done = f"{saved.title} is made. Number its exhibits, or go on with these."
        return answer_done(request, done, "exhibits:numbers", case_id=case_id, set_id=saved.pk)
    context = {"frame": frame, "source": source}
    return answer_form(request, "exhibits/set_form.html", context, form)


@confirms(STEP, PREPARE, queries.set_of, actions.void_exhibit_set)
def withdraw_set(shown: ExhibitSet) -> Confirmation:
    """Withdraw a set that is not to be shown."""
    return Confirmation(
        f"Withdraw {shown.title}",
        "The set is no longer listed and cannot be presented. Photographs and redactions stay as "
        "they are; the history shows what the set held.",
        "Withdraw the set",
        back=reverse("exhibits:set", kwargs={"case_id": shown.case_id, "set_id": shown.pk}),
        done=f"Withdrawn: {shown.title}.",
        then=reverse("exhibits:sets", kwargs={"case_id": shown.case_id}),
        in_step=False,
    )


@require_GET
def exhibit_set(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show one set with its exhibits in their order."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = set_context(request, frame, queries.set_of(frame.case, set_id))
    return render(request, "exhibits/set.html", context)


def set_context(request: StaffRequest, frame: CaseFrame, shown: ExhibitSet) -> dict[str, object]:
    """Return what the page of one set needs."""
    exhibits = queries.exhibits_of(shown)
    to_be_hidden = queries.photographs_to_be_hidden(frame.case)
    return {
        "frame": frame,
        "exhibit_set": shown,
        "exhibits": exhibits,
        "order_now": ",".join(str(one.pk) for one in exhibits),
        "may_prepare": may(request.user, PREPARE, frame.case),
        "may_rehearse": may(request.user, Act.REHEARSE, frame.case),
        "may_answer": may(request.user, Act.ANSWER_AS_WITNESS, frame.case),
        "redacted": [one for one in exhibits if one.redaction],
        "to_be_hidden": [
            one for one in exhibits if any(shot.pk in to_be_hidden for shot in one.photographs)
        ],
        "not_admitted": [
            one for one in exhibits if one.ruling and one.ruling.ruling == Ruling.NOT_ADMITTED
        ],
        "without_finding": [one for one in exhibits if not one.findings],
    }


@require_POST
def move(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Put an exhibit elsewhere in the order."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.set_of(frame.case, set_id)
    form = MoveForm(request.POST)
    moved = submitted(request, form, actions.move_exhibit, case_id=case_id, exhibit_id=exhibit_id)
    if moved:
        place = form.cleaned_data["place"]
        page = reverse("exhibits:set", kwargs={"case_id": case_id, "set_id": set_id})
        return answer_done(
            request, f"{moved} is moved to place {place}.", f"{page}#exhibit-{exhibit_id}"
        )
    return answer_form(request, "exhibits/set.html", set_context(request, frame, shown), form)


@require_POST
def arrange(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Put the whole set into an order; the script of the page sends each move."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.set_of(frame.case, set_id)
    form = OrderForm(request.POST)
    if submitted(request, form, actions.arrange_exhibits, case_id=case_id, set_id=set_id):
        if is_part(request):
            return HttpResponse(status=204)
        return answer_done(
            request, "The order is saved.", "exhibits:set", case_id=case_id, set_id=set_id
        )
    context = set_context(request, frame, shown)
    mine = [str(key) for key in form.cleaned_data.get("order", [])]
    if form.is_stale and sorted(mine) == sorted(str(context["order_now"]).split(",")):
        context["my_order"] = ",".join(mine)
    return answer_form(request, "exhibits/set.html", context, form)


@require_GET
def contact_sheet(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show the set as a sheet of small pictures, to print."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.set_of(frame.case, set_id)
    context = {
        "frame": frame,
        "exhibit_set": shown,
        "exhibits": queries.exhibits_to_present(shown),
    }
    return render(request, "exhibits/contact_sheet.html", context)


@require_GET
def contact_sheet_pdf(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Answer with the contact sheet as PDF; that it was printed is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.set_of(case, set_id)
    note_access(request.user, case_id=case.pk, what="contact sheet", record_id=shown.pk)
    sheet = print_contact_sheet(shown, queries.exhibits_to_present(shown), at=timezone.now())
    return shown_pdf(sheet.pdf, f"contact-sheet-{slugify(case.label)}-{slugify(shown.title)}")
