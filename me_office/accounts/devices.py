"""Devices on which somebody has signed in before: known by a signed cookie, per person."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.core import signing
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse

from me_office.around import Around

COOKIE = "known_device"
SALT = "me_office.accounts.devices"
# Renewed at each sign-in.
KEPT_S = 180 * 24 * 3600
# The people of one shift at one desk, and more; the last ones are kept.
MOST_PEOPLE = 24


def known_device(cookie: str, person_id: UUID) -> str:
    """Return the device's key if this person has signed in on it before, else nothing."""
    device, people = _read(cookie)
    return device if person_id.hex in people else ""


def remembering(cookie: str, person_id: UUID) -> str:
    """Return the device's cookie once this person has signed in on it."""
    device, people = _read(cookie)
    others = [key for key in people if key != person_id.hex]
    kept = {"device": device or uuid4().hex, "people": [*others, person_id.hex][-MOST_PEOPLE:]}
    return signing.dumps(kept, salt=SALT, compress=True)


def _read(cookie: str) -> tuple[str, list[str]]:
    try:
        kept = signing.loads(cookie, salt=SALT, max_age=KEPT_S)
    except signing.BadSignature:
        return "", []
    return kept["device"], kept["people"]


@receiver(user_logged_in)
def _note_sign_in(request: HttpRequest | None, user: Any, **_: object) -> None:
    # After the second factor, where there is one.
    if request is not None:
        request._signed_in_now = user.pk  # type: ignore[attr-defined]


class KnownDevices(Around):
    """Give a device its cookie with the answer to a sign-in."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and remember the device where somebody came in."""
        answer = self.get_response(request)
        person_id = getattr(request, "_signed_in_now", None)
        if person_id is not None:
            answer.set_cookie(
                COOKIE,
                remembering(request.COOKIES.get(COOKIE, ""), person_id),
                max_age=KEPT_S,
                httponly=True,
                samesite="Lax",
                secure=settings.SESSION_COOKIE_SECURE,
            )
        return answer
