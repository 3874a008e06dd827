"""The form under what was not made."""

from __future__ import annotations

from django.http import HttpRequest

from me_office.audit.errors import Refused
from me_office.shell.forms import OfficeForm


class RetryForm(OfficeForm):
    """Tries again, or leaves what was not made; it asks for nothing."""


def version_to_retry(request: HttpRequest) -> int:
    """Return the version of the request that the person saw. Raises Refused."""
    form = RetryForm(request.POST)
    if not form.is_valid():
        raise Refused("The form was sent incomplete. Go back and try again.")
    return form.version
