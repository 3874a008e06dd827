"""The open page at which an answer is fetched: by its address, and by a code told in another way.

It needs no account, and before the code it tells nothing: an address that is wrong, has ended, was
called back or gets a wrong code is answered alike, and as slowly. So is the right code while the
packet holds what may not go out now: who enters it learns no more, and the office sees it.
"""

from __future__ import annotations

import logging
import threading
import time
from typing import IO, Any
from uuid import UUID
from weakref import WeakSet

from django import forms
from django.contrib.auth.hashers import check_password, make_password
from django.core import signing
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from cases.answers import queries, rules
from cases.answers.delivering import digest_of_token
from cases.answers.files import stored
from cases.answers.models import Delivery, Opening
from cases.answers.rules import Opens
from cases.answers.since import keeps_closed
from evidence.store import open_part
from me_office.accounts import tries
from me_office.audit.address import address_of
from me_office.audit.errors import TooSoon
from me_office.audit.ids import new_id
from me_office.shell.forms import OfficeForm, answer_form
from me_office.shell.ranges import send_bytes

_log = logging.getLogger(__name__)
PLACE = "fetching an answer"
TICKET, TICKET_SECONDS = "pick-up", 3600
SALT = "cases.answers.pick_up"
CLOSED = (
    "This code does not open anything at this address. The code may be wrong, or the address may "
    "have ended or been closed. Ask the office that gave it to you."
)
# Compared where there is nothing to compare, so that an unknown address answers as slowly.
_NOBODYS = make_password(None)
LOOK_AGAIN_BYTES = 4 * 1024 * 1024
# What a packet holds is compared with the record this often while it is being sent.
COMPARE_SECONDS = 20.0
# A long packet holds a thread of the web server until it is read, and whoever has a code may read
# it slowly, or ask for many parts at once: half of a process's threads stay for the office.
MOST_AT_ONCE = 2
AGAIN_SECONDS = 60


class CodeForm(OfficeForm):
    """The code that the office told in another way."""

    code = forms.CharField(
        label="Code",
        max_length=20,
        help_text="Eight letters and digits, such as K7QF-2M9X, told to you by telephone or in "
        "person.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "spellcheck": "false", "autocapitalize": "characters"}
        ),
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def pick_up(request: HttpRequest, token: str) -> HttpResponse:
    """Ask for the code, and show what can be fetched once it is right."""
    opened = _opened(request, token)
    if opened is not None and request.method != "POST":
        return render(
            request,
            "answers/pick_up_open.html",
            {"delivery": opened[0], "token": token},
        )
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            delivery = _by_code(request, token, form.cleaned_data["code"])
        except TooSoon as error:
            form.add_error(None, error.message)
            return render(request, "answers/pick_up.html", {"form": form}, status=429)
        if delivery is not None:
            visit = new_id()
            _note(request, delivery, visit, "code")
            answer: HttpResponse = redirect(request.path)
            answer.set_cookie(
                TICKET,
                signing.dumps([str(delivery.pk), str(visit)], salt=SALT),
                max_age=TICKET_SECONDS,
                path=request.path,
                httponly=True,
                samesite="Strict",
                secure=request.is_secure(),
            )
            return answer
        form.add_error("code", CLOSED)
    return answer_form(request, "answers/pick_up.html", {}, form)


def _by_code(request: HttpRequest, token: str, typed: str) -> Delivery | None:
    """Return the delivery that an address and a code open now. Raises TooSoon."""
    digest = digest_of_token(token)
    tried = tries.begin(
        place=PLACE, kind="code", name=f"answer {digest}", person=None, signed_in=False
    )
    found = queries.delivery_at(digest)
    is_open = found is not None and _opens(found)
    against = found.password if found is not None and is_open else _NOBODYS
    right = check_password(rules.plain_code(typed), against)
    if found is None or not is_open or not right:
        tried.failed()
        if found is not None and is_open:
            _note(request, found, new_id(), "wrong code")
        return None
    tried.passed()
    if keeps_closed(found.answer):
        _note(request, found, new_id(), "kept back")
        return None
    return found


def _opens(delivery: Delivery) -> bool:
    return delivery.ends_at is not None and (
        rules.opens(
            ends_at=delivery.ends_at,
            called_back=delivery.called_back_at is not None,
            now=timezone.now(),
        )
        is Opens.OPEN
    )


def _opened(request: HttpRequest, token: str) -> tuple[Delivery, UUID] | None:
    """Return the delivery that this browser has given the code for, while it is open."""
    try:
        key, visit = signing.loads(
            request.COOKIES.get(TICKET, ""), salt=SALT, max_age=TICKET_SECONDS
        )
    except (signing.BadSignature, ValueError, TypeError):
        return None
    found = queries.delivery_at(digest_of_token(token))
    if found is None or str(found.pk) != key or not _opens(found) or keeps_closed(found.answer):
        return None
    return found, UUID(visit)


def _note(
    request: HttpRequest,
    delivery: Delivery,
    visit: UUID,
    what: str,
    bytes_sent: int | None = None,
) -> None:
    Opening.objects.create(
        case_id=delivery.case_id,
        delivery=delivery,
        visit=visit,
        what=what,
        address=address_of(request),
        bytes_sent=bytes_sent,
    )


@never_cache
@require_safe
def fetch(request: HttpRequest, token: str) -> HttpResponseBase:
    """Send the packet, or from where a broken download stopped, to who has given the code."""
    opened = _opened(request, token)
    if opened is None:
        return redirect("answers:pick-up", token=token)
    delivery, visit = opened
    packet = stored(delivery.answer)

    def open_from(first: int, length: int) -> IO[bytes]:
        place = _Place()
        with _SENDING:
            if len(_under_way) >= MOST_AT_ONCE:
                raise TooMany
            _under_way.add(place)
        file = Watched(
            open_part(delivery.answer.path, first, length),
            delivery,
            lambda what, sent: _note(request, delivery, visit, what, sent),
            length=length,
            place=place,
        )
        _note(request, delivery, visit, "began")
        return file  # type: ignore[return-value]

    try:
        return send_bytes(request, packet, open_from)
    except TooMany:
        context = {"delivery": delivery, "token": token, "is_busy": True}
        later = render(request, "answers/pick_up_open.html", context, status=429)
        later["Retry-After"] = str(AGAIN_SECONDS)
        return later


class TooMany(Exception):
    """This process sends as many packets now as it may."""


class _Place:
    """One of the few downloads at once; given back with its file, or when that is dropped."""


_SENDING = threading.Lock()
_under_way: WeakSet[_Place] = WeakSet()


class CalledBack(Exception):
    """The address was closed while its file was being sent, or what it sends may not go out now."""


class Watched:
    """A file that is being sent: it notes how far it came, and stops when it is called back."""

    def __init__(
        self, file: IO[bytes], delivery: Delivery, note: Any, *, length: int, place: _Place
    ) -> None:
        self.file, self.delivery, self.note, self.length = file, delivery, note, length
        self.place = place
        self.sent = self.looked = 0
        self.compared = time.monotonic()
        self.is_over = False

    def read(self, size: int = -1) -> bytes:
        """Return the next bytes. Raises CalledBack."""
        if self.sent - self.looked >= LOOK_AGAIN_BYTES:
            self.looked = self.sent
            if not _opens(Delivery.objects.get(pk=self.delivery.pk)):
                self._end("called back")
                raise CalledBack
            if self._is_kept_back():
                self._end("kept back")
                raise CalledBack
        piece = self.file.read(size)
        self.sent += len(piece)
        return piece

    def _is_kept_back(self) -> bool:
        if time.monotonic() - self.compared < COMPARE_SECONDS:
            return False
        self.compared = time.monotonic()
        return keeps_closed(queries.answer_to_build(self.delivery.answer_id))

    def close(self) -> None:
        """Close the file and note how the sending ended."""
        with _SENDING:
            _under_way.discard(self.place)
        self.file.close()
        self._end("whole" if self.sent >= self.length else "broken off")

    def _end(self, what: str) -> None:
        if not self.is_over:
            self.is_over = True
            self.note(what, self.sent)

    def seekable(self) -> bool:
        """Tell that it is read once, from its beginning."""
        return False
