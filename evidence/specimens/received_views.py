"""The page on which a specimen that others took is received."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import case_frame
from evidence.specimens import actions
from evidence.specimens.received_forms import ReceiveSpecimenForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_form, submitted


@require_http_methods(["GET", "POST"])
def receive_specimen(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Receive a specimen that others took: whose it is, how it came, its seal."""
    frame = case_frame(request.user, case_id, current="specimens", act=Act.TAKE_SPECIMEN)
    form = ReceiveSpecimenForm(request.POST or None)
    received = submitted(request, form, actions.receive_specimen, case_id=case_id)
    if received:
        messages.success(request, f"Item {received.item.number} received; you hold it.")
        return redirect("evidence:specimens", case_id=case_id)
    return answer_form(request, "evidence/receive_specimen.html", {"frame": frame}, form)
