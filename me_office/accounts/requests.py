"""Requests as a page and an endpoint get them, for the types: no object of these is ever made.

`SignedInOnly` lets nobody through who is not signed in, but to the few addresses that it names.
"""

from __future__ import annotations

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails
from rest_framework.request import Request

from me_office.accounts.models import Staff


class StaffRequest(HttpRequest):
    """A request for a page by a member of staff."""

    user: Staff
    htmx: HtmxDetails


class StaffApiRequest(Request):
    """A request to the API by a member of staff."""

    user: Staff
