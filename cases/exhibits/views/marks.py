"""Marks made in court: kept by the courtroom screen, withdrawn on a page."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_POST

from cases.access import Act, case_for
from cases.exhibits import actions, queries
from cases.exhibits.forms import MarkForm
from cases.exhibits.models import CourtMark
from cases.exhibits.views.rulings import page_of
from cases.exhibits.views.sets import STEP
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import submitted


@require_POST
def keep_mark(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Keep what was drawn over an exhibit; the screen that sends it stays where it is."""
    case = case_for(request.user, Act.SEE, case_id)
    form = MarkForm(request.POST)
    kept = submitted(request, form, actions.keep_court_mark, case_id=case.pk, exhibit_id=exhibit_id)
    if kept:
        return HttpResponse(f"{kept}", status=201, content_type="text/plain; charset=utf-8")
    said = " ".join(str(words) for messages in form.errors.values() for words in messages)
    status = 409 if form.is_stale else 422
    return HttpResponse(said, status=status, content_type="text/plain; charset=utf-8")


@confirms(STEP, Act.KEEP_COURT_MARK, queries.mark_of, actions.void_court_mark)
def withdraw_mark(mark: CourtMark) -> Confirmation:
    """Withdraw a mark that was kept by mistake."""
    return Confirmation(
        "Withdraw the mark",
        f"{mark}, on exhibit {mark.exhibit.number}, is no longer listed. The history shows what "
        "was drawn.",
        "Withdraw the mark",
        back=page_of(mark.exhibit),
        done="The mark is withdrawn.",
        in_step=False,
    )
