"""What goes wrong outside an action: a page, or JSON where a program asked."""

from __future__ import annotations

import errno
import sys
from collections.abc import Iterator

from django.core.exceptions import RequestDataTooBig
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from me_office.logs.current import request_id

RETRY_SECONDS = 10
# A connection that is lost at COMMIT does not tell what became of it.
AWAY = (
    "The office’s database is not responding. What you sent may have been saved: check "
    "before you send it again. The same form, sent again unchanged, is saved only once."
)
BUSY = (
    "This waited too long for other work on the same record, and the waiting step was not "
    "saved. Send it again in a moment: the same form, sent again unchanged, is saved only once."
)
# Lock not available, deadlock, serialization failure: PostgreSQL's documentation, appendix A.
WAITED_IN_VAIN = {"55P03", "40P01", "40001"}
FULL = "There is no room left to store this. Nothing was saved. Tell an administrator."
BROKEN = (
    "Something went wrong. What you sent may have been saved, up to the last complete step: "
    "check before you send it again. No step is saved halfway."
)
TOO_LARGE = "This is more than the office accepts in one request."


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 400, or 413 to what is too large."""
    if isinstance(exception, RequestDataTooBig):
        return _answer(request, 413, "too_large", TOO_LARGE, "shell/refused.html")
    words = "This request cannot be read."
    return _answer(request, 400, "bad_request", words, "shell/refused.html")


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 404."""
    return _answer(request, 404, "not_found", "There is nothing here.", "shell/not_found.html")


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 403."""
    words = "You do not have access to this."
    return _answer(request, 403, "not_allowed", words, "shell/denied.html")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer 403 to a form whose token is not the one of who is signed in."""
    words = "This form has expired. Reload the page, then send it."
    return _answer(request, 403, "old_form", words, "shell/refused.html")


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer 503 where the database is away or busy, 507 where a disk is full, else 500.

    Touches neither.
    """
    error = sys.exc_info()[1]
    if error is not None and is_full(error):
        return _answer(request, 507, "full", FULL, "shell/server_error.html")
    for code, words, is_so in (("away", AWAY, is_away), ("busy", BUSY, is_busy)):
        if error is not None and is_so(error):
            answer = _answer(request, 503, code, words, "shell/server_error.html")
            answer["Retry-After"] = str(RETRY_SECONDS)
            return answer
    return _answer(request, 500, "broken", BROKEN, "shell/server_error.html")


def is_full(error: BaseException) -> bool:
    """Tell whether a disk is full: the store's, or the database's (SQLSTATE 53100)."""
    return any(
        getattr(one, "errno", None) in {errno.ENOSPC, errno.EDQUOT}
        or getattr(one, "sqlstate", None) == "53100"
        for one in _causes(error)
    )


def is_away(error: BaseException) -> bool:
    """Tell whether the database could not be reached: no answer, or one that it is going away.

    SQLSTATE classes 08 (connection) and 57P (operator intervention), and 53300 (too many
    connections): PostgreSQL's documentation, appendix A.
    """
    if not any(isinstance(one, OperationalError | InterfaceError) for one in _causes(error)):
        return False
    states = [getattr(one, "sqlstate", None) for one in _causes(error)]
    said = next((state for state in states if state), "")
    return not said or said.startswith(("08", "57P")) or said == "53300"


def is_busy(error: BaseException) -> bool:
    """Tell whether the database gave up waiting for somebody else's work on the same rows."""
    return any(getattr(one, "sqlstate", None) in WAITED_IN_VAIN for one in _causes(error))


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__


def _answer(
    request: HttpRequest, status: int, code: str, words: str, template: str
) -> HttpResponse:
    # By this the log and the trail know the request.
    number = request_id() if status >= 500 else ""
    if request.path.startswith("/api/"):
        named = {"request": number} if number else {}
        return JsonResponse({"code": code, "message": words, **named}, status=status)
    context = {"error": {"message": words, "status": status}, "code": code, "number": number}
    return render(request, template, context, status=status)
