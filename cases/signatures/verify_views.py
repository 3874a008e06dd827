"""The page that tells anybody, by a code or a file's digest, whether the office signed it.

Open without signing in. It says nothing that the holder of the document does not have: no name,
no case, only that it is known, its day, and what came later.
"""

from __future__ import annotations

import hashlib
from typing import Any

from django import forms
from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from cases.signatures import queries
from cases.signatures.published import published_list
from cases.signatures.rules import day_words, later_words, read_code, read_digest
from cases.signatures.sealing import CannotOpen
from me_office.accounts import tries
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown, TooSoon
from me_office.shell.forms import OfficeForm, answer_form

LARGEST_FILE = 60 * 1024 * 1024
PLACE = "checking a document"


class VerifyForm(OfficeForm):
    """A code or a digest as typed, or the file itself."""

    known = forms.CharField(
        label="Code or SHA-256",
        max_length=200,
        required=False,
        help_text="The code is at the foot of every page: K7QF-2M9X-4TBD.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "spellcheck": "false", "autocapitalize": "characters"}
        ),
    )
    file = forms.FileField(
        label="Or the PDF itself",
        required=False,
        help_text="Your browser computes its digest; the file stays with you. Where it can’t, the "
        "file is sent, read once and not kept.",
    )

    def clean(self) -> dict[str, Any]:
        """Make the digest of a file, and refuse what is neither a code nor a digest."""
        said: dict[str, Any] = super().clean() or self.cleaned_data
        file, typed = said.get("file"), said.get("known", "")
        if file:
            if file.size > LARGEST_FILE:
                self.add_error("file", "This file is too large. Type its code or SHA-256.")
                return said
            digest = hashlib.sha256()
            for chunk in file.chunks():
                digest.update(chunk)
            said["known"] = digest.hexdigest()
        elif not typed.strip():
            self.add_error("known", "Type a code or a SHA-256, or choose a file.")
        elif read_code(typed) is None and read_digest(typed) is None:
            self.add_error(
                "known",
                "A code has 12 letters and digits, such as K7QF-2M9X-4TBD; a SHA-256 has 64.",
            )
        return said


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def verify(request: StaffRequest) -> HttpResponse:
    """Ask for a code, a digest or a file; say what is known of it."""
    sent: Any = request.POST if request.method == "POST" else request.GET
    asked = request.method == "POST" or "known" in request.GET
    form = VerifyForm(sent if asked else None, request.FILES or None)
    context: dict[str, Any] = {"office_address": settings.OFFICE_ADDRESS, "answer": None}
    if asked and form.is_valid():
        try:
            context["answer"] = _answer(form.cleaned_data["known"])
        except TooSoon as error:
            form.add_error(None, error.message)
            context["form"] = form
            return render(request, "signatures/verify.html", context, status=429)
    return answer_form(request, "signatures/verify.html", context, form)


def _answer(said: str) -> dict[str, Any]:
    """Say what is known of it. A try that finds nothing counts. Raises TooSoon."""
    tried = tries.begin_look_up(place=PLACE)
    found = queries.known_by(said)
    by_code = read_code(said) or ""
    if found is None:
        return {"known": False, "asked": by_code or read_digest(said)}
    tried.passed()
    return {
        "known": True,
        "asked": by_code or found.sha256,
        "by_code": bool(by_code),
        "kind": found.kind,
        "signed_on": day_words(found.signed_on),
        "code": found.code,
        "sha256": found.sha256,
        "signatures": found.signatures,
        "newer": bool(found.later),
        "later": later_words(found.later, kind=found.kind),
    }


@require_safe
def root(request: StaffRequest) -> HttpResponse:
    """Send the office's root certificate, which whoever checks a signature has to trust."""
    one = queries.authority()
    if one is None:
        raise NotKnown("This office has no authority of its own.")
    answer = HttpResponse(one.pem, content_type="application/x-pem-file")
    answer["Content-Disposition"] = 'attachment; filename="office-root.pem"'
    return answer


@require_safe
def revoked(request: StaffRequest) -> HttpResponse:
    """Send the list of revoked certificates (RFC 5280), DER."""
    try:
        made = published_list(timezone.now())
    except TooSoon as error:
        return HttpResponse(error.message, content_type="text/plain", status=429)
    except CannotOpen:
        # Why is for who keeps the office: it is told among the conditions, and to no stranger.
        return HttpResponse("The list can't be made now.", content_type="text/plain", status=503)
    if made is None:
        raise NotKnown("This office has no authority of its own.")
    answer = HttpResponse(made, content_type="application/pkix-crl")
    answer["Content-Disposition"] = 'attachment; filename="revoked.crl"'
    return answer
