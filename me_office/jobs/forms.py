"""The form under what was not made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.http import HttpRequest

from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import Refused
from me_office.jobs.models import JobRecord
from me_office.shell.forms import OfficeForm

JobT = TypeVar("JobT", bound=JobRecord)


class RetryForm(OfficeForm):
    """Tries again, or leaves what was not made; it asks for nothing."""


def version_to_retry(request: HttpRequest) -> int:
    """Return the version of the request that the person saw. Raises Refused."""
    form = RetryForm(request.POST)
    if not form.is_valid():
        raise Refused("The form was sent incomplete. Go back and try again.")
    return form.version


def tried_again(
    request: StaffRequest,
    retry: Callable[..., JobT],
    leave: Callable[..., JobT] | None = None,
    **keys: Any,
) -> JobT:
    """Try again to make what was not made or, where the person chose so, leave it.

    Raises Refused, and what the actions raise.
    """
    change = leave if leave and request.POST.get("act") == "leave" else retry
    return change(request.user, version=version_to_retry(request), **keys)
