"""Views that answer with a part of a page, which the page asks for by itself."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from cases.access import Act, case_for
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import is_part


def part_of(
    page: str, *further: str, act: Act = Act.SEE, end: str = ""
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Make a view of a function that answers with a part; it gets the case in place of its key.

    Some parts are asked for every second: a look at the page is noted, not each of these. Whoever
    asks for a part as if it were a page is led to `page`, with the `further` keys that its address
    has, and the `end` of it.
    """

    def view(answers: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @require_GET
        @vary_on_headers("HX-Request")
        @functools.wraps(answers)
        def part(request: StaffRequest, case_id: UUID, **keys: Any) -> HttpResponse:
            case = case_for(request.user, act, case_id)
            if is_part(request):
                return answers(request, case, **keys)
            there = {"case_id": case_id, **{name: keys[name] for name in further}}
            return redirect(reverse(page, kwargs=there) + end.format(**keys))

        return part

    return view
