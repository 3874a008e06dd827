"""Pages: no scene visit, body not received here."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils.text import capfirst
from django.views.decorators.http import require_http_methods

from cases import actions
from cases.actions.not_done import ACTS
from cases.course import case_frame
from cases.forms.scene import VoidForm
from cases.models import NotDone
from cases.queries.file import not_done_of
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.confirming import Confirmation, confirming

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
    words = dict(NotDone.KINDS)[kind]
    title, back = capfirst(words), reverse(PAGES[kind], kwargs={"case_id": case_id})
    if stated:
        said = Confirmation(
            title,
            "The statement will be withdrawn: it stays in the history and no longer counts.",
            "Withdraw the statement",
            back=back,
            done=f"Withdrawn: {stated}.",
            intro=stated.why,
            stop=False,
            form_class=VoidForm,
        )
        act = actions.void_not_done
        return confirming(request, stated, act, said, frame=frame, record_id=stated.pk)
    said = Confirmation(
        title,
        "The case file will say so in place of a record. The record can still be made later, once "
        "this statement is withdrawn.",
        "Record it",
        back=back,
        done=f"Saved: {words.capitalize()}.",
        intro="Once it is stated with a reason, it no longer counts as missing.",
        stop=False,
        form_class=partial(_asks_why, HELP[kind]),
    )
    keys = {"case_id": case_id, "kind": kind}
    return confirming(request, None, actions.state_not_done, said, frame=frame, **keys)


def _asks_why(help_text: str, *sent: Any, **more: Any) -> VoidForm:
    form = VoidForm(*sent, **more)
    form.fields["reason"].help_text = f"{help_text} Kept permanently with the case."
    return form
