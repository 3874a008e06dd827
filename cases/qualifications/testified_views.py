"""Pages of the cases in which a person testified: listed, changed, withdrawn."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.appearances.models import Appearance
from cases.qualifications import actions, queries
from cases.qualifications.forms import TestifiedForm
from cases.qualifications.views import PAGE, kept, voiding
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, person_id: UUID, appearance_id: UUID | None = None) -> HttpResponse:
    """List a case in which the person testified, of the office's record or of before."""
    shown = kept(request, person_id)
    appearance: Appearance | None = None
    initial: dict[str, Any] = {"kind": "trial"}
    if appearance_id is not None:
        appearance = queries.heard_of(request.user, person_id, appearance_id)
        initial = queries.as_recorded(appearance)
    form = TestifiedForm(request.POST or None, initial=initial, recorded=appearance is not None)
    saved = submitted(
        request,
        form,
        actions.list_testimony,
        person_id=person_id,
        version=0,
        appearance_id=appearance_id,
    )
    if saved:
        return answer_done(request, f"Listed: {saved}.", PAGE, person_id=person_id)
    context = {"person": shown, "appearance": appearance}
    return answer_form(request, "qualifications/testified.html", context, form)


@require_http_methods(["GET", "POST"])
def edit(request: StaffRequest, person_id: UUID, record_id: UUID) -> HttpResponse:
    """Change a line; versions that were issued stay as they are."""
    shown = kept(request, person_id)
    line = queries.testified_line(person_id, record_id)
    form = TestifiedForm(
        request.POST or None, instance=line, recorded=line.appearance_id is not None
    )
    saved = submitted(
        request, form, actions.list_testimony, person_id=person_id, record_id=record_id
    )
    if saved:
        return answer_done(request, f"Saved: {saved}.", PAGE, person_id=person_id)
    line = queries.testified_line(person_id, record_id)
    context = {"person": shown, "line": line, "appearance": line.appearance}
    return answer_form(request, "qualifications/testified.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw(request: StaffRequest, person_id: UUID, record_id: UUID) -> HttpResponse:
    """Void a line, with the reason."""
    shown = kept(request, person_id)
    line = queries.testified_line(person_id, record_id)
    return voiding(request, shown, line, actions.void_testimony_line)
