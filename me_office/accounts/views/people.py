"""Pages for administrators: who works here, with which roles, and whose account is closed."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from me_office.accounts import actions, queries
from me_office.accounts.forms import ChangeAccountForm, OpenAccountForm, WhyForm
from me_office.accounts.requests import StaffRequest
from me_office.accounts.rules import new_password
from me_office.audit import looks
from me_office.audit.queries import acts_on, failed_tries
from me_office.shell.confirming import Confirmation, answer_confirming
from me_office.shell.forms import answer_form, attempt


@require_GET
def people(request: StaffRequest) -> HttpResponse:
    """List the accounts by name."""
    actions.require_administrator(request.user)
    closed = request.GET.get("state") == "closed"
    page = queries.people(closed=closed, after=request.GET.get("after", ""))
    asked = {"state": "closed"} if closed else {}
    looks.note_list(request.user, "list of accounts", rows=len(page.people), asked=asked)
    context = {
        "page": page,
        "closed": closed,
        "second_factor_required": settings.REQUIRE_SECOND_FACTOR,
        "next_url": f"?{urlencode({**asked, 'after': page.next_key})}" if page.next_key else "",
        "first_url": f"?{urlencode(asked)}" if "after" in request.GET else "",
    }
    return render(request, "people/people.html", context)


@require_GET
def person(request: StaffRequest, staff_id: UUID) -> HttpResponse:
    """Show one account, what can be done with it, and what was done."""
    actions.require_administrator(request.user)
    context = {
        "person": queries.person_of(staff_id),
        "second_factor_required": settings.REQUIRE_SECOND_FACTOR,
        "tries": failed_tries(staff_id),
        "acts": acts_on("accounts_staff", str(staff_id), also=["accounts_staff_groups"]),
    }
    return render(request, "people/person.html", context)


@never_cache
@require_http_methods(["GET", "POST"])
def open_account(request: StaffRequest) -> HttpResponse:
    """Open an account, and show its first password once."""
    actor = request.user
    actions.require_administrator(actor)
    form = OpenAccountForm(request.POST or None, actor=actor)
    if request.method == "POST" and form.is_valid():
        password = new_password(secrets.choice)

        def done() -> bool:
            actions.open_account(
                actor,
                record_id=form.record_id,
                entry=form.entry,
                password=password,
                reason=form.given_reason,
            )
            return True

        if attempt(form, done):
            return _show_password(request, form.record_id, password)
    return answer_form(request, "people/open_account.html", {}, form)


@require_http_methods(["GET", "POST"])
def change_account(request: StaffRequest, staff_id: UUID) -> HttpResponse:
    """Change how a person is named and which roles they hold."""
    actor = request.user
    actions.require_administrator(actor)
    shown = queries.person_of(staff_id)
    initial = {name: getattr(shown, name) for name in actions.DESCRIBED}
    initial["roles"] = sorted(shown.role_names)
    form = ChangeAccountForm(request.POST or None, actor=actor, record=shown, initial=initial)
    if request.method == "POST" and form.is_valid():

        def done() -> bool:
            actions.change_account(
                actor,
                staff_id=staff_id,
                version=form.version,
                entry=form.entry,
                reason=form.given_reason,
            )
            return True

        if attempt(form, done):
            messages.success(request, "The account is changed.")
            return redirect("people:person", staff_id=staff_id)
    return answer_form(request, "people/change_account.html", {"person": shown}, form)


@dataclass(frozen=True)
class FinalAct:
    """An act that is confirmed by its reason and the administrator's own password."""

    title: str
    sentence: str
    button: str
    done: str
    act: Callable[..., None]
    gives_password: bool = False


FINAL_ACTS = {
    "close": FinalAct(
        "Close the account",
        "{person} is signed out at once and cannot sign in. Everything they did stays in their "
        "name, and items in their hands stay with them until someone records a transfer.",
        "Close the account",
        "The account of {person} is closed.",
        actions.close_account,
    ),
    "reopen": FinalAct(
        "Reopen the account",
        "{person} can sign in again, with the roles they had.",
        "Reopen the account",
        "The account of {person} is open again.",
        actions.reopen_account,
    ),
    "password": FinalAct(
        "Set a new password",
        "The password of {person} stops working, and they are signed out everywhere. The new one "
        "is shown once, to you; they choose their own at the next sign-in.",
        "Set a new password",
        "",
        actions.replace_password,
        gives_password=True,
    ),
    "second-factor": FinalAct(
        "Remove the second factor",
        "The app and the recovery codes of {person} stop working, and they are signed out "
        "everywhere. Make sure the request comes from {person}: "
        "until another is set up, the password alone opens the account.",
        "Remove it",
        "The second factor of {person} is removed.",
        actions.reset_second_factor,
    ),
}


@never_cache
@require_http_methods(["GET", "POST"])
def final_act(request: StaffRequest, staff_id: UUID, name: str) -> HttpResponse:
    """Close or open an account, give a new password, or take a second factor away."""
    actor = request.user
    actions.require_administrator(actor)
    shown, final = queries.person_of(staff_id), FINAL_ACTS[name]
    form = WhyForm(request.POST or None, actor=actor, record=shown)
    password = new_password(secrets.choice)
    if request.method == "POST" and form.is_valid():
        more: dict[str, object] = {"password": password} if final.gives_password else {}

        def done() -> bool:
            final.act(
                actor, staff_id=staff_id, version=form.version, reason=form.given_reason, **more
            )
            return True

        if attempt(form, done):
            if final.gives_password:
                return _show_password(request, staff_id, password)
            messages.success(request, final.done.format(person=shown))
            return redirect("people:person", staff_id=staff_id)
    back = reverse("people:person", kwargs={"staff_id": staff_id})
    said = Confirmation(
        final.title,
        final.sentence.format(person=shown),
        final.button,
        back=back,
        up=(str(shown), back),
        stop=False,
    )
    return answer_confirming(request, form, said)


def _show_password(request: StaffRequest, staff_id: UUID, password: str) -> HttpResponse:
    shown = queries.person_of(staff_id)
    # A repeated request finds its work done; the password it made this time opens nothing.
    given = password if shown.check_password(password) else ""
    return render(request, "people/password.html", {"person": shown, "password": given})
