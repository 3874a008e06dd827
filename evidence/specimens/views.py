"""Pages of specimens."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.course import case_frame
from evidence.custody.item_views import STEP, ItemKind, correcting, withdrawal
from evidence.custody.opening_fields import hand_over_start
from evidence.custody.queries import custody_by_item
from evidence.specimens import actions, queries
from evidence.specimens.forms import CorrectSpecimenForm, TakeSpecimenForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_form, submitted


@require_GET
def specimens(request: StaffRequest, case_id: UUID) -> HttpResponse:
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
def take_specimen(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Take a specimen: what it is, its seal, its first transfer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    form = TakeSpecimenForm(request.POST or None, initial=hand_over_start(request))
    taken = submitted(request, form, actions.take_specimen, case_id=case_id)
    if taken:
        messages.success(request, f"Item {taken.item.number} taken and sealed.")
        return redirect("evidence:specimens", case_id=case_id)
    return answer_form(request, "evidence/take_specimen.html", {"frame": frame}, form)


SPECIMENS = ItemKind(
    Act.TAKE_SPECIMEN, "specimen_id", queries.specimen_of, "evidence:specimens",
    actions.void_specimen,
)  # fmt: skip
specimen = correcting(
    SPECIMENS, actions.describe_specimen, CorrectSpecimenForm, "evidence/specimen.html", "specimen"
)
withdraw_specimen = withdrawal(SPECIMENS)
