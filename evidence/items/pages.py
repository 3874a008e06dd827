"""The page on which something is withdrawn, with the reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from evidence.items.forms import WithdrawForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import parameters
from me_office.audit.models import Record
from me_office.shell.forms import OfficeForm, answer_form, submitted

RecordT = TypeVar("RecordT", bound=Record)


@dataclass(frozen=True)
class Withdrawal:
    """What the page says of the record: `act` is the button, `sentence` says what follows.

    `back` is the page that the person came from; afterward they are led there, or to `then`, and
    read `done`. `form_class` asks for the reason.
    """

    title: str
    sentence: str
    act: str
    back: str
    done: str = ""
    then: str = ""
    caution: str = ""
    form_class: type[OfficeForm] = WithdrawForm


def of_numbered(
    what: str, number: int, sentence: str, *, back: str, then: str = "", says: bool = True
) -> Withdrawal:
    """Return the same for what is named by its kind and number: copy 3.

    `says` tells whether the next page says that it is withdrawn.
    """
    named = f"{what} {number}"
    done = f"{named.capitalize()} withdrawn." if says else ""
    return Withdrawal(f"Withdraw {named}", sentence, f"Withdraw the {what}", back, done, then)


def withdraws(
    step: str, act: Act, find: Callable[..., RecordT], action: Callable[..., Any], *, key: str = ""
) -> Callable[[Callable[[RecordT], Withdrawal]], Callable[..., HttpResponse]]:
    """Make a view of a function that says what withdrawing a record means.

    `find` gets the case and the other keys of the address, in their order; the action those that it
    takes, or the last one as `key`, where it is called otherwise there.
    """

    def view(says: Callable[[RecordT], Withdrawal]) -> Callable[..., HttpResponse]:
        def page(request: StaffRequest, case_id: UUID, **keys: Any) -> HttpResponse:
            frame = case_frame(request.user, case_id, current=step, act=act)
            record = find(frame.case, *keys.values())
            named = {key: list(keys.values())[-1]} if key else keys
            return withdrawing(request, frame, record, action, says(record), **named)

        page.__name__, page.__module__, page.__doc__ = says.__name__, says.__module__, says.__doc__
        return require_http_methods(["GET", "POST"])(page)

    return view


def withdrawing(
    request: StaffRequest, frame: CaseFrame, record: Record, action: Callable[..., Any],
    said: Withdrawal, **keys: Any,
) -> HttpResponse:  # fmt: skip
    """Ask why and withdraw a record; `keys` name it to the action, as far as it takes them."""
    form = said.form_class(request.POST or None, record=record)
    known = {name: key for name, key in keys.items() if name in parameters(action)}
    if submitted(request, form, action, case_id=frame.case.pk, **known):
        if said.done:
            messages.success(request, said.done)
        return redirect(said.then or said.back)
    return answer_form(request, "evidence/withdraw.html", {"frame": frame, **vars(said)}, form)
