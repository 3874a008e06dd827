"""A person's own account: how the office looks to them and how they sign in."""

from __future__ import annotations

from allauth.mfa.models import Authenticator
from allauth.mfa.utils import is_mfa_enabled
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from me_office.accounts import actions
from me_office.accounts.requests import StaffRequest
from me_office.audit.queries import failed_tries

THEMES = ("light", "dark")
A_YEAR_S = 365 * 24 * 3600


@require_GET
def account(request: StaffRequest) -> HttpResponse:
    """Show the person's account."""
    codes = Authenticator.objects.filter(
        user=request.user, type=Authenticator.Type.RECOVERY_CODES
    ).first()
    context = {
        "second_factor": is_mfa_enabled(request.user),
        "second_factor_required": settings.REQUIRE_SECOND_FACTOR,
        "tries": failed_tries(request.user.pk),
        "codes_left": len(codes.wrap().get_unused_codes()) if codes else 0,
    }
    return render(request, "account/account.html", context)


@require_POST
def theme(request: StaffRequest) -> HttpResponse:
    """Keep light, dark or as the device in a cookie, and go back to the page."""
    target = request.POST.get("next", "")
    own = url_has_allowed_host_and_scheme(target, allowed_hosts={request.get_host()})
    # A word alone would be looked for among the names of pages.
    answer = redirect(target if own and target.startswith("/") else reverse("accounts:account"))
    chosen = request.POST.get("theme")
    if chosen in THEMES:
        answer.set_cookie(
            "theme", chosen, max_age=A_YEAR_S, samesite="Lax", secure=request.is_secure()
        )
    else:
        answer.delete_cookie("theme", samesite="Lax")
    return answer


@require_POST
def shortcuts(request: StaffRequest) -> HttpResponse:
    """Switch single-key shortcuts on or off for the person, and go back to the account."""
    on = request.POST.get("single_keys") == "on"
    actions.choose_own_shortcuts(request.user, single_keys=on)
    messages.success(request, f"Single-key shortcuts are {'on' if on else 'off'}.")
    return redirect(f"{reverse('accounts:account')}#keys-choice")


def no_such_page(request: StaffRequest) -> HttpResponse:
    """Close a page of the sign-in library that this office does not use."""
    raise Http404
