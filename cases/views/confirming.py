"""Views that ask to confirm an act on a record of a case, with the reason."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar
from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import case_frame
from me_office.accounts.requests import StaffRequest
from me_office.audit.models import Record
from me_office.shell.confirming import Confirmation, confirming

RecordT = TypeVar("RecordT", bound=Record)


def confirms(
    step: str, act: Act, find: Callable[..., RecordT], action: Callable[..., Any], *, key: str = ""
) -> Callable[[Callable[[RecordT], Confirmation]], Callable[..., HttpResponse]]:
    """Make a view of a function that says what doing this to a record means.

    `find` gets the case and the other keys of the address, in their order; the action those that it
    takes, or the last one as `key`, where it is called otherwise there.
    """

    def view(says: Callable[[RecordT], Confirmation]) -> Callable[..., HttpResponse]:
        def page(request: StaffRequest, case_id: UUID, **keys: Any) -> HttpResponse:
            frame = case_frame(request.user, case_id, current=step, act=act)
            record = find(frame.case, *keys.values())
            named = {"case_id": case_id, **keys}
            if key:
                named[key] = list(keys.values())[-1]
            return confirming(request, record, action, says(record), frame=frame, **named)

        page.__name__, page.__module__, page.__doc__ = says.__name__, says.__module__, says.__doc__
        return require_http_methods(["GET", "POST"])(page)

    return view
