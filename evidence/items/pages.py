"""The page on which something is withdrawn, with the reason."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect

from cases.course import CaseFrame
from evidence.items.forms import WithdrawForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.models import Record
from me_office.shell.forms import OfficeForm, answer_form, submitted


def withdrawing(
    request: StaffRequest, frame: CaseFrame, record: Record, action: Callable[..., Any], *,
    title: str, sentence: str, act: str, back: str, done: str = "", then: str = "",
    caution: str = "", form_class: type[OfficeForm] = WithdrawForm, **keys: Any,
) -> HttpResponse:  # fmt: skip
    """Ask why and withdraw a record; `act` is the button, `sentence` says what follows.

    `back` is the page that the person came from; afterward they are led there, or to `then`, and
    read `done`. `keys` name the record to the action; `form_class` asks for the reason.
    """
    form = form_class(request.POST or None, record=record)
    if submitted(request, form, action, case_id=frame.case.pk, **keys):
        if done:
            messages.success(request, done)
        return redirect(then or back)
    context = {"frame": frame, "title": title, "sentence": sentence, "act": act, "back": back}
    context["caution"] = caution
    return answer_form(request, "evidence/withdraw.html", context, form)


def withdrawing_numbered(
    request: StaffRequest, frame: CaseFrame, record: Any, action: Callable[..., Any], what: str,
    *, sentence: str, back: str, says: bool = True, **more: Any,
) -> HttpResponse:  # fmt: skip
    """The same for what is named by its kind and number: copy 3.

    `says` tells whether the next page says that it is withdrawn.
    """
    named = f"{what} {record.number}"
    return withdrawing(
        request, frame, record, action,
        title=f"Withdraw {named}",
        sentence=sentence,
        act=f"Withdraw the {what}",
        back=back,
        done=f"{named.capitalize()} withdrawn." if says else "",
        **more,
    )  # fmt: skip
