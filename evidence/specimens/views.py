"""Pages of specimens and property."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.course import case_frame
from evidence.custody.hand_over import hand_over_start
from evidence.custody.queries import custody_by_item, custody_of
from evidence.items.forms import WithdrawForm
from evidence.items.pages import withdrawal
from evidence.specimens import actions, queries
from evidence.specimens.forms import CorrectSpecimenForm, TakeSpecimenForm
from me_office.shell.forms import answer_form, submitted

STEP = "specimens"


@require_GET
def specimens(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """List the specimens of a case with seal and holder."""
    frame = case_frame(request.user, case_id, current=STEP)
    held = queries.specimens_of(frame.case)
    kits = queries.kits_of(frame.case)
    custody = custody_by_item([each.item for each in held] + [each.item for each in kits])
    context = {
        "frame": frame,
        "kits": [(each, custody[each.item_id]) for each in kits],
        "rows": [(each, custody[each.item_id]) for each in held],
        "part": "specimens",
        "may_take": may(request.user, Act.TAKE_SPECIMEN, frame.case),
        "why_not": decision_on(request.user, Act.TAKE_SPECIMEN, frame.case).why,
    }
    return render(request, "evidence/specimens.html", context)


@require_http_methods(["GET", "POST"])
def take_specimen(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Take a specimen: what it is, its seal, its first transfer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    form = TakeSpecimenForm(request.POST or None, initial=hand_over_start(request))
    taken = submitted(request, form, actions.take_specimen, case_id=case_id)
    if taken:
        messages.success(request, f"Item {taken.item.number} taken and sealed.")
        return redirect("evidence:specimens", case_id=case_id)
    return answer_form(request, "evidence/take_specimen.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def specimen(request: HttpRequest, case_id: UUID, specimen_id: UUID) -> HttpResponse:
    """Correct what is said about a specimen."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    shown = queries.specimen_of(frame.case, specimen_id)
    form = CorrectSpecimenForm(request.POST or None, instance=shown)
    saved = submitted(
        request, form, actions.describe_specimen, case_id=case_id, specimen_id=specimen_id
    )
    if saved:
        messages.success(request, f"Item {saved.item.number} saved.")
        return redirect("evidence:specimens", case_id=case_id)
    context = {"frame": frame, "specimen": shown, "custody": custody_of(shown.item)}
    return answer_form(request, "evidence/specimen.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_specimen(request: HttpRequest, case_id: UUID, specimen_id: UUID) -> HttpResponse:
    """Withdraw a specimen; its seals and transfers stay on record."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    shown = queries.specimen_of(frame.case, specimen_id)
    form = WithdrawForm(request.POST or None, record=shown)
    done = submitted(request, form, actions.void_specimen, case_id=case_id, specimen_id=specimen_id)
    if done:
        messages.success(request, f"Item {shown.item.number} withdrawn.")
        return redirect("evidence:specimens", case_id=case_id)
    context = {"frame": frame, **withdrawal(shown.item, "evidence:specimens", case_id)}
    return answer_form(request, "evidence/withdraw.html", context, form)
