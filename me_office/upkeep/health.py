"""Answers who asks whether the office lives, and whether to send people to it."""

from __future__ import annotations

import hmac
import threading
from dataclasses import asdict
from time import monotonic

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from me_office.upkeep.conditions import Condition, State, look, names

# A look is not older than this when it is told, so that asking every second costs nothing.
FRESH_SECONDS = 5.0
# A load balancer waits no longer, and a page's thread is not held longer, whatever hangs.
WITHIN_SECONDS = 2.0
# Told at the most this long to who comes while somebody else looks.
OLD_SECONDS = 30.0
_looking = threading.Lock()
_last: tuple[float, list[Condition]] | None = None


@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """Answer 200: the process takes requests. Nothing else is asked."""
    return HttpResponse("alive\n", content_type="text/plain")


@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Answer 200 where requests can be answered, else 503, with how each condition stands.

    Whoever brings the token of ME_INSIDE_TOKEN reads all, with the words; a stranger, names and
    states of what every request needs.
    """
    found = recent()
    serving = set(names(serving_only=True))
    able = all(one.state is State.RIGHT for one in found if one.name in serving)
    inside = asks_from_inside(request)
    if inside:
        told = [asdict(one) for one in found]
    else:  # the others say where it would be worth trying: no second factor, a superuser
        told = [{"name": one.name, "state": one.state} for one in found if one.name in serving]
    return JsonResponse({"ready": able, "conditions": told}, status=200 if able else 503)


def recent() -> list[Condition]:
    """Return how everything stood a moment ago; one looks for all who ask at the same time.

    Who comes meanwhile is told what was seen before: a thread that waits answers no page.
    """
    known = _last
    if known is not None and monotonic() - known[0] <= FRESH_SECONDS:
        return known[1]
    old = known is not None and monotonic() - known[0] <= OLD_SECONDS
    if not _looking.acquire(timeout=0 if old else 2 * WITHIN_SECONDS):
        return known[1] if old and known is not None else [_not_seen(one) for one in names()]
    try:
        return _looked()
    finally:
        _looking.release()


def _looked() -> list[Condition]:
    global _last
    if _last is None or monotonic() - _last[0] > FRESH_SECONDS:
        found = list(look(within=WITHIN_SECONDS))
        # The looking itself may have taken its time.
        _last = (monotonic(), found)
    return _last[1]


def _not_seen(name: str) -> Condition:
    return Condition(name, State.NOT_SEEN, "It is being looked at.")


def forget() -> None:
    """Let the next question be looked at anew."""
    global _last
    _last = None


def asks_from_inside(request: HttpRequest) -> bool:
    """Tell whether a request brings the office's own token; without one set nobody does."""
    token: str = settings.INSIDE_TOKEN
    brought = request.headers.get("Authorization", "").removeprefix("Bearer ").strip()
    return bool(token) and hmac.compare_digest(brought.encode(), token.encode())
