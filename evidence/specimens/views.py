"""Pages of specimens."""

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
from evidence.specimens import actions, queries
from evidence.specimens.forms import CorrectSpecimenForm, TakeSpecimenForm
from evidence.specimens.received_forms import ReceiveSpecimenForm
from me_office.accounts.requests import StaffRequest


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


SPECIMENS = ItemKind(
    Act.TAKE_SPECIMEN, "specimen_id", queries.specimen_of, "evidence:specimens",
    actions.void_specimen,
)  # fmt: skip
take_specimen = recording(
    SPECIMENS, actions.take_specimen,
    lambda request, _: TakeSpecimenForm(request.POST or None, initial=hand_over_start(request)),
    "evidence/take_specimen.html", done="taken and sealed.",
)  # fmt: skip
receive_specimen = recording(
    SPECIMENS, actions.receive_specimen,
    lambda request, _: ReceiveSpecimenForm(request.POST or None),
    "evidence/receive_specimen.html", done="received; you hold it.",
)  # fmt: skip
specimen = correcting(
    SPECIMENS, actions.describe_specimen, CorrectSpecimenForm, "evidence/specimen.html", "specimen"
)
withdraw_specimen = withdrawal(SPECIMENS)
