"""Pages: no scene visit, body not received here."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases import actions
from cases.actions.not_done import ACTS
from cases.course import case_frame
from cases.forms.scene import VoidForm
from cases.models import NotDone
from cases.queries.file import not_done_of
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.forms import answer_done, answer_form, submitted

PAGES = {NotDone.SCENE: "cases:scene", NotDone.BODY: "cases:body"}
HELP = {
    NotDone.SCENE: "Death in a hospital, body moved before the call, place out of reach.",
    NotDone.BODY: "Released from the place of death, examined elsewhere, cremated, not found.",
}


@require_http_methods(["GET", "POST"])
def not_done(request: StaffRequest, case_id: UUID, kind: str) -> HttpResponse:
    """State that it was not done, with the reason; once stated, withdraw that."""
    if kind not in ACTS:
        raise NotKnown("There is no such statement.")
    frame = case_frame(request.user, case_id, current=kind, act=ACTS[kind])
    stated = not_done_of(frame.case, kind)
    form = VoidForm(request.POST or None, record=stated)
    if not stated:
        form.fields["reason"].help_text = f"{HELP[kind]} Kept permanently with the case."
    if stated:
        saved = submitted(request, form, actions.void_not_done, record_id=stated.pk)
    else:
        saved = submitted(request, form, actions.state_not_done, case_id=case_id, kind=kind)
    if saved:
        done = "Withdrawn" if stated else "Saved"
        return answer_done(request, f"{done}: {saved}.", PAGES[kind], case_id=case_id)
    words = dict(NotDone.KINDS)[kind]
    context = {"frame": frame, "stated": stated, "words": words, "page": PAGES[kind]}
    return answer_form(request, "cases/not_done.html", context, form)
