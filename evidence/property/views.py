"""Pages of things."""

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
from evidence.items.kinds import EVIDENCE, PROPERTY
from evidence.property import actions, queries
from evidence.property.forms import CorrectPropertyForm, RecordPropertyForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_form, submitted

GROUPS = [
    (EVIDENCE, "Evidence", "Kept for the investigation, whoever owned it."),
    (
        PROPERTY,
        "Personal effects",
        "Belong to the decedent and are kept for whoever may claim them.",
    ),
]


@require_GET
def properties(request: StaffRequest, case_id: UUID) -> HttpResponse:
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
def record_property(request: StaffRequest, case_id: UUID) -> HttpResponse:
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


THINGS = ItemKind(
    Act.HOLD_PROPERTY, "property_id", queries.property_of, "evidence:property",
    actions.void_property,
)  # fmt: skip
property_item = correcting(
    THINGS, actions.describe_property, CorrectPropertyForm, "evidence/property_item.html", "held"
)
withdraw_property = withdrawal(THINGS)
