"""Pages of things."""

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
from evidence.items.kinds import EVIDENCE, PROPERTY
from evidence.items.pages import withdrawal
from evidence.property import actions, queries
from evidence.property.forms import CorrectPropertyForm, RecordPropertyForm
from me_office.shell.forms import answer_form, submitted

STEP = "specimens"
GROUPS = [
    (EVIDENCE, "Evidence", "Kept for the investigation, whoever owned it."),
    (
        PROPERTY,
        "Personal effects",
        "Belong to the decedent and are kept for whoever may claim them.",
    ),
]


@require_GET
def properties(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """List evidence, and apart from it the effects that belong to the decedent."""
    frame = case_frame(request.user, case_id, current=STEP)
    held = queries.properties_of(frame.case)
    custody = custody_by_item([each.item for each in held])
    groups = [
        (title, words, [(each, custody[each.item_id]) for each in held if each.kept_as == kept_as])
        for kept_as, title, words in GROUPS
    ]
    context = {
        "frame": frame,
        "groups": [group for group in groups if group[2]],
        "part": "property",
        "may_take": may(request.user, Act.HOLD_PROPERTY, frame.case),
        "why_not": decision_on(request.user, Act.HOLD_PROPERTY, frame.case).why,
    }
    return render(request, "evidence/property.html", context)


@require_http_methods(["GET", "POST"])
def record_property(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Record a thing: what it is, where it was found, its seal, its first transfer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.HOLD_PROPERTY)
    form = RecordPropertyForm(
        request.POST or None,
        initial={**hand_over_start(request), "cash_currency": "USD"},
        case=frame.case,
    )
    held = submitted(request, form, actions.record_property, case_id=case_id)
    if held:
        messages.success(request, f"Item {held.item.number} recorded and sealed.")
        return redirect("evidence:property", case_id=case_id)
    return answer_form(request, "evidence/record_property.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def property_item(request: HttpRequest, case_id: UUID, property_id: UUID) -> HttpResponse:
    """Correct what is said about a thing."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.HOLD_PROPERTY)
    shown = queries.property_of(frame.case, property_id)
    form = CorrectPropertyForm(request.POST or None, instance=shown)
    saved = submitted(
        request, form, actions.describe_property, case_id=case_id, property_id=property_id
    )
    if saved:
        messages.success(request, f"Item {saved.item.number} saved.")
        return redirect("evidence:property", case_id=case_id)
    context = {"frame": frame, "held": shown, "custody": custody_of(shown.item)}
    return answer_form(request, "evidence/property_item.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_property(request: HttpRequest, case_id: UUID, property_id: UUID) -> HttpResponse:
    """Withdraw a thing; its seals and transfers stay on record."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.HOLD_PROPERTY)
    shown = queries.property_of(frame.case, property_id)
    form = WithdrawForm(request.POST or None, record=shown)
    done = submitted(request, form, actions.void_property, case_id=case_id, property_id=property_id)
    if done:
        messages.success(request, f"Item {shown.item.number} withdrawn.")
        return redirect("evidence:property", case_id=case_id)
    context = {"frame": frame, **withdrawal(shown.item, "evidence:property", case_id)}
    return answer_form(request, "evidence/withdraw.html", context, form)
