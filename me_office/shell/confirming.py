"""The page on which an act is confirmed: what follows of it, why it is done, and the button."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from me_office.audit.actions import parameters
from me_office.shell.forms import OfficeForm, answer_form, long_text, submitted


class ReasonForm(OfficeForm):
    """Asks why."""

    rows = {"reason": 2}
    reason = long_text("Reason", "Kept permanently, in your name.")


@dataclass(frozen=True)
class Confirmation:
    """What the page says: `sentence` tells what will follow, `act` is the button.

    `back` is the page that the person came from; afterward they are led there, or to `then`, and
    read `done`. `intro` stands below the title, `up` (words and address) above it; `stop` makes the
    button red. The browser's tab has the title, or `tab`, and of a case its step where `in_step`.
    """

    title: str
    sentence: str
    act: str
    back: str
    done: str = ""
    then: str = ""
    caution: str = ""
    intro: str = ""
    tab: str = ""
    up: tuple[str, str] | None = None
    stop: bool = True
    in_step: bool = True
    form_class: Callable[..., OfficeForm] = ReasonForm


def confirming(
    request: HttpRequest, record: Model | None, action: Callable[..., Any], said: Confirmation,
    *, frame: object = None, **keys: Any,
) -> HttpResponse:  # fmt: skip
    """Ask why and do it; a page of a case has its `frame`.

    `keys` name the record to the action, as far as it takes them.
    """
    form = said.form_class(request.POST or None, record=record)
    known = {name: key for name, key in keys.items() if name in parameters(action)}
    if submitted(request, form, action, **known):
        if said.done:
            messages.success(request, said.done)
        return redirect(said.then or said.back)
    return answer_confirming(request, form, said, frame=frame)


def answer_confirming(
    request: HttpRequest, form: OfficeForm, said: Confirmation, *, frame: object = None
) -> HttpResponse:
    """Render the page with its form, for who does the act in another way."""
    page = "shell/confirm_in_case.html" if frame else "shell/confirm.html"
    return answer_form(request, page, {"frame": frame, **vars(said)}, form)
