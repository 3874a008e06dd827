"""What every middleware of the office is made of: it stands around each answer."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class Around:
    """Stand around an answer: `get_response` passes the request on, to the next one or the page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on as it is."""
        return self.get_response(request)
