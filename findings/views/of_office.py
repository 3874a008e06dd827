"""The page on which something of the whole office's is withdrawn, with the reason."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpResponse

from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.models import Record
from me_office.shell.forms import answer_done, answer_form, submitted


def withdrawing_of_office(
    request: StaffRequest, record: Record, action: Callable[..., object], *,
    title: str, sentence: str, act: str, back: str, done: str,
) -> HttpResponse:  # fmt: skip
    """Ask why and withdraw what belongs to no case; `act` is the button, `back` the page's name.

    `sentence` says what follows, `done` what happened.
    """
    form = VoidForm(request.POST or None, record=record)
    if submitted(request, form, action, record_id=record.pk):
        return answer_done(request, done, back)
    context = {"title": title, "sentence": sentence, "act": act, "back": back}
    return answer_form(request, "findings/withdraw_of_office.html", context, form)
