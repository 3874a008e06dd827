"""Pages of kits and trays."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import case_frame
from evidence import actions, queries
from evidence.forms import WithdrawForm
from evidence.kit_forms import RecordKitForm
from evidence.views.items import STEP, hand_over_start
from me_office.shell.forms import answer_form, attempt


@require_http_methods(["GET", "POST"])
def record_kit(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Record a kit or tray: its parts, one seal, its first transfer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    form = RecordKitForm(request.POST or None, initial=hand_over_start(request))
    if request.method == "POST" and form.is_valid():
        kit = attempt(
            form,
            lambda: actions.record_kit(
                request.user,
                case_id=case_id,
                record_id=form.record_id,
                entry=form.entry,
                parts=form.cleaned_data["parts"],
            ),
        )
        if kit:
            messages.success(request, f"Item {kit.item.number} recorded and sealed.")
            return redirect("custody:item", case_id=case_id, item_id=kit.item_id)
    return answer_form(request, "evidence/record_kit.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def withdraw_kit(request: HttpRequest, case_id: UUID, kit_id: UUID) -> HttpResponse:
    """Withdraw a kit with its parts; its seals and transfers stay on record."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    shown = queries.kit_of(frame.case, kit_id)
    form = WithdrawForm(request.POST or None, record=shown)
    if request.method == "POST" and form.is_valid():
        done = attempt(
            form,
            lambda: actions.void_kit(
                request.user,
                case_id=case_id,
                kit_id=kit_id,
                version=form.version,
                reason=form.reason,
            ),
        )
        if done:
            messages.success(request, f"Item {shown.item.number} withdrawn.")
            return redirect("evidence:specimens", case_id=case_id)
    context = {
        "frame": frame,
        "title": f"Withdraw item {shown.item.number}",
        "sentence": f"Item {shown.item.number}, {shown}, will no longer count in this case, and "
        "none of its parts. Numbers are not given again, and seals and transfers stay on record.",
        "act": "Withdraw the kit",
        "back": reverse("evidence:specimens", kwargs={"case_id": case_id}),
    }
    return answer_form(request, "evidence/withdraw.html", context, form)
