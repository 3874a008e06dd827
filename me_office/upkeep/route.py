"""The way of a request through the office's own address: how it came here, as the web saw it.

The office asks itself, with a question that only it can sign, and answers nobody else.
"""

from __future__ import annotations

import http.client
import secrets
import ssl
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from me_office.audit.address import is_trusted, read_address

PATH = "/health/route/"
QUESTION, ANSWER = "office.route.question", "office.route.answer"
HEADER = "X-Office-Question"
ANSWERED_WITHIN_SECONDS = 120
SECONDS = 4
# An address of documentation (RFC 5737), which nobody has: it is forged into the question.
FORGED = "203.0.113.77"


@require_GET
def route(request: HttpRequest) -> HttpResponse:
    """Tell the office itself how this request came; anybody else finds no page."""
    try:
        word = signing.loads(
            request.headers.get(HEADER, ""), salt=QUESTION, max_age=ANSWERED_WITHIN_SECONDS
        )
    except signing.BadSignature as error:
        raise Http404 from error
    told = {
        "word": word,
        "secure": request.is_secure(),
        # Whom the proxy says it heard from: the last entry is the nearest proxy's own.
        "said": request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip(),
        "peer": request.META.get("REMOTE_ADDR", ""),
        "believed": is_trusted(
            read_address(request.META.get("REMOTE_ADDR", "")), settings.TRUSTED_PROXIES
        ),
    }
    return HttpResponse(signing.dumps(told, salt=ANSWER), content_type="text/plain")


@dataclass(frozen=True)
class Seen:
    """What asking one's own address showed; what could not be seen is None."""

    unreached: str = ""
    certificate_fault: str = ""
    certificate_days: int | None = None
    status: int | None = None
    secure: bool | None = None
    said: str = ""
    peer: str = ""
    believed: bool | None = None
    refuses_photographs: bool | None = None
    late: bool = False


def ask(origin: str) -> Seen:
    """Ask the office at one of its addresses how it is reached."""
    fault, days = ("", None)
    if urlsplit(origin).scheme == "https":
        fault, days = _certificate(origin)
    word = secrets.token_urlsafe(12)
    headers = {HEADER: signing.dumps(word, salt=QUESTION), "X-Forwarded-For": FORGED}
    try:
        with closing(_link(origin)) as link:
            link.request("GET", PATH, headers=headers)
            answer = link.getresponse()
            told = _read(answer.read(10_000), word)
        refuses = _refuses_photographs(origin) if told else None
    except TimeoutError:
        return Seen("", fault, days, late=True)
    except (OSError, http.client.HTTPException) as error:
        reason = getattr(error, "strerror", None) or type(error).__name__
        return Seen(str(reason), fault, days)
    if told is None:
        return Seen("", fault, days, answer.status)
    return Seen(
        "", fault, days, answer.status, told["secure"], told["said"], told["peer"],
        told["believed"], refuses,
    )  # fmt: skip


def _read(body: bytes, word: str) -> dict[str, Any] | None:
    """Return what this office said; None where somebody else answered."""
    try:
        told: dict[str, Any] = signing.loads(body.decode("ascii"), salt=ANSWER)
    except (signing.BadSignature, UnicodeDecodeError):
        return None
    return told if told.get("word") == word else None


def _link(origin: str, *, verify: bool = False) -> http.client.HTTPConnection:
    parts = urlsplit(origin)
    host, port = parts.hostname or "", parts.port
    if parts.scheme != "https":
        return http.client.HTTPConnection(host, port, timeout=SECONDS)
    context = ssl.create_default_context()
    if not verify:
        # Whether to trust it is asked apart; here it is seen what lies behind.
        context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    return http.client.HTTPSConnection(host, port, timeout=SECONDS, context=context)


def _certificate(origin: str) -> tuple[str, int | None]:
    """Return what is wrong with the certificate, or for how many days it holds."""
    try:
        with closing(_link(origin, verify=True)) as link:
            link.connect()
            own: Any = link.sock
            shown = own.getpeercert()
    except ssl.SSLCertVerificationError as error:
        return error.verify_message, None
    except OSError:
        return "", None
    until = datetime.fromtimestamp(ssl.cert_time_to_seconds(shown["notAfter"]), UTC)
    return "", (until - datetime.now(UTC)).days


def _refuses_photographs(origin: str) -> bool:
    """Tell whether the proxy refuses the largest photograph by its length; none is sent."""
    with closing(_link(origin)) as link:
        link.putrequest("POST", PATH)
        link.putheader("Content-Length", str(settings.PHOTOGRAPH_MAX_BYTES))
        link.putheader("Expect", "100-continue")
        link.endheaders()
        try:
            first: bytes = link.sock.recv(64)
        except TimeoutError:
            return False
    return b" 413" in first.split(b"\r\n", 1)[0]
