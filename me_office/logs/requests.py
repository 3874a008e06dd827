"""A line for each request, and the id by which its lines, its answer and the trail know it."""

from __future__ import annotations

import logging
import re
from time import monotonic

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from me_office.around import Around
from me_office.audit.address import address_of, is_trusted, read_address
from me_office.audit.ids import new_id
from me_office.logs import current, paths

log = logging.getLogger("office.requests")
HEADER = "X-Request-ID"
_ID = re.compile(r"[A-Za-z0-9._-]{8,64}")
# Asked every few seconds by machines.
QUIET = ("/static/", "/health/", "/metrics")


def id_of(request: HttpRequest) -> str:
    """Return the id that a trusted proxy gave the request, else a new one."""
    given = request.headers.get(HEADER, "")
    peer = read_address(request.META.get("REMOTE_ADDR", ""))
    if _ID.fullmatch(given) and is_trusted(peer, settings.TRUSTED_PROXIES):
        return given
    return str(new_id())


class Requests(Around):
    """Name each request, say its id in the answer, and write one line when it is answered."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request with its id."""
        began = monotonic()
        now = current.Doing(id=id_of(request), request=request)
        token = current.doing.set(now)
        try:
            answer = self.get_response(request)
            answer[HEADER] = now.id
            _note(request, answer, monotonic() - began)
            return answer
        finally:
            current.doing.reset(token)


def view_name(request: HttpRequest) -> str:
    """Return the name of the view that answered, or nothing where none was reached."""
    return request.resolver_match.view_name if request.resolver_match else ""


def _note(request: HttpRequest, answer: HttpResponse, seconds: float) -> None:
    level = logging.WARNING if answer.status_code >= 500 else logging.INFO
    if answer.status_code < 400 and request.path.startswith(QUIET):
        level = logging.DEBUG
    if not log.isEnabledFor(level):
        return
    path = paths.told(request.path)
    fields = {
        "method": request.method,
        "path": path,
        "view": view_name(request),
        "status": answer.status_code,
        "ms": round(seconds * 1000),
        "address": address_of(request),
    }
    words = (request.method, path, answer.status_code)
    log.log(level, "%s %s %s", *words, extra={"fields": fields})
