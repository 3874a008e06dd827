"""Pages of things."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.access import Act, decision_on, may
from cases.course import case_frame
from evidence.custody.item_views import STEP, ItemKind, correcting, recording, withdrawal
from evidence.custody.opening_fields import hand_over_start
from evidence.custody.queries import custody_by_item
from evidence.items.kinds import EVIDENCE, PROPERTY
from evidence.property import actions, queries
from evidence.property.forms import CorrectPropertyForm, RecordPropertyForm
from me_office.accounts.requests import StaffRequest

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


THINGS = ItemKind(
    Act.HOLD_PROPERTY, "property_id", queries.property_of, "evidence:property",
    actions.void_property,
)  # fmt: skip
record_property = recording(
    THINGS, actions.record_property,
    lambda request, case: RecordPropertyForm(
        request.POST or None,
        initial={**hand_over_start(request), "cash_currency": "USD"},
        case=case,
    ),
    "evidence/record_property.html",
)  # fmt: skip
property_item = correcting(
    THINGS, actions.describe_property, CorrectPropertyForm, "evidence/property_item.html", "held"
)
withdraw_property = withdrawal(THINGS)
