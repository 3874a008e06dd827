"""What holds for every answer: nothing of it is kept, and a refusal is a page of the office."""

from __future__ import annotations

from collections.abc import Iterator

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from me_office.accounts.models import staff_named
from me_office.around import Around
from me_office.audit.errors import Away, NotKnown, OfficeError, OtherPerson, Refused
from me_office.audit.keys import saved_at

# Not the office's to keep secret: what everybody may read, and what never changes.
PUBLIC = ("/static/",)
PLAIN_HEALTH = "/health/"


class NothingKept(Around):
    """Let no browser and no proxy keep what the office answered: page, API, export or picture.

    Without this, Back shows a case to whoever sits down next, after the sign-out too; and a form
    comes back with the keys of a request that was answered long ago.
    """

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Mark every answer but the public ones."""
        answer = self.get_response(request)
        kept = answer.get("Cache-Control", "")
        public = request.path.startswith(PUBLIC) or request.path == PLAIN_HEALTH
        if not public and "no-store" not in kept:
            answer["Cache-Control"] = "private, no-store"
        return answer


class OwnPages(Around):
    """Refuse whatever is sent by a page that somebody else opened on the same device.

    A page stays open while another person signs in, and the cookies are that person's from then
    on. So each page says whose it is: its scripts in a header, its forms in a field.
    """

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through, unless its page is another person's."""
        by_script = request.headers.get("X-Page-Of", "")
        opened_by = by_script or _person_of_form(request)
        if not opened_by or not request.user.is_authenticated:
            return self.get_response(request)
        if opened_by == str(request.user.pk):
            return self.get_response(request)
        name = _name_of(opened_by)
        error = OtherPerson(
            f"This page was opened by {name}. You are signed in as {request.user}. "
            "Nothing was saved."
        )
        if not by_script:
            return render(request, "shell/refused.html", {"error": error}, status=error.status)
        body = {"code": error.code, "message": error.message}
        # What was typed stays on the page: no part of it is exchanged for this answer.
        return JsonResponse(body, status=error.status, headers={"HX-Reswap": "none"})


class OfficeErrors(Around):
    """Answer 403, 404, 409, 422 and 503 with a page that says what to do next."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on, unless its address holds what no stored text can hold."""
        if "\x00" in request.path or any("\x00" in value for _, value in _asked(request)):
            error = Refused("The address holds a character that cannot be read.")
            if request.path.startswith("/api/"):
                body = {"code": "bad_request", "message": error.message}
                return JsonResponse(body, status=400)
            return render(request, "shell/refused.html", {"error": error}, status=400)
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer an OfficeError; leave every other error alone."""
        if not isinstance(error, OfficeError) or request.path.startswith("/api/"):
            return None
        told: dict[str, object] = {"error": error}
        if isinstance(error, NotKnown) and request.user.is_authenticated:
            told["saved_at"] = saved_at(request.user)
        answer = render(request, "shell/refused.html", told, status=error.status)
        if isinstance(error, Away):
            answer["Retry-After"] = str(error.retry_seconds)
        return answer


def _asked(request: HttpRequest) -> Iterator[tuple[str, str]]:
    for name, values in request.GET.lists():
        yield from ((name, value) for value in values)


def _person_of_form(request: HttpRequest) -> str:
    if request.method != "POST" or request.path.startswith("/api/"):
        return ""
    if not request.user.is_authenticated:
        return ""
    return request.POST.get("page_of", "")


def _name_of(staff_id: str) -> str:
    try:
        person = staff_named(staff_id)
    except (ValidationError, ValueError):
        person = None
    return str(person) if person is not None else "someone else"
