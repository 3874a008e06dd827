"""Notes, for the audit trail, which request a change came through."""

from __future__ import annotations

import re
import uuid

from django.http import HttpRequest, HttpResponse

from me_office.accounts.devices import COOKIE
from me_office.around import Around
from me_office.audit.address import address_of
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.ids import new_id
from me_office.logs.current import request_id

SAVED = "saved-"
SAVED_FOR_S = 10 * 60
MOST_SAVED = 12
# Another site of the same domain can put any name here, also one that can't be taken back.
_SAVED_KEY = re.compile(rf"{SAVED}[0-9a-f-]{{36}}")
_REFUSED = 400


def request_key_of(request: HttpRequest) -> uuid.UUID | None:
    """Return the key the client made for this request, from the header or the form field."""
    raw = request.headers.get("Idempotency-Key", "")
    if not raw and request.method == "POST" and not request.path.startswith("/api/"):
        raw = request.POST.get("request_key", "")
    try:
        return uuid.UUID(raw)
    except ValueError:
        return None


def tell_saved(request: HttpRequest, answer: HttpResponse, key: uuid.UUID) -> None:
    """Tell the device by a cookie which submission was saved, unless something was refused.

    What was typed is kept there until then (`kept.js`). Keys grow with time: the oldest go first.
    """
    if answer.status_code >= _REFUSED:
        return
    known = sorted(name for name in request.COOKIES if _SAVED_KEY.fullmatch(name))
    for old in known[: max(0, len(known) - MOST_SAVED + 1)]:
        answer.delete_cookie(old, samesite="Strict")
    secure = request.is_secure()
    answer.set_cookie(f"{SAVED}{key}", "1", max_age=SAVED_FOR_S, samesite="Strict", secure=secure)


class RequestContext(Around):
    """Set the request's facts for as long as it is being answered."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request with its facts at hand."""
        facts = RequestFacts(
            source="api" if request.path.startswith("/api/") else "page",
            request_id=request_id() or str(new_id()),
            address=address_of(request),
            device_cookie=request.COOKIES.get(COOKIE, ""),
        )
        if request.method not in {"GET", "HEAD", "OPTIONS"}:
            facts.request_key = request_key_of(request)
        token = current_request.set(facts)
        try:
            answer = self.get_response(request)
        finally:
            current_request.reset(token)
        if facts.done and facts.request_key and facts.source == "page":
            tell_saved(request, answer, facts.request_key)
        return answer
