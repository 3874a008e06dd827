"""What the office adds when the sign-in library changes a second factor: who acts, and sessions.

Setting one up, stopping it or making new recovery codes ends the person's other sign-ins.
"""

from __future__ import annotations

from allauth.account.internal.stagekit import get_pending_stage
from allauth.mfa.models import Authenticator
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse

from me_office.accounts.actions import end_other_sign_ins
from me_office.accounts.models import Staff
from me_office.around import Around
from me_office.audit.actions import acting

ACTS = {
    "/account/2fa/totp/activate/": "set_up_second_factor",
    "/account/2fa/totp/deactivate/": "take_own_second_factor_away",
    "/account/2fa/recovery-codes/generate/": "make_recovery_codes",
    # The library notes with the codes that they were shown.
    "/account/2fa/recovery-codes/": "see_recovery_codes",
    "/account/2fa/recovery-codes/download/": "see_recovery_codes",
    # A recovery code is used up.
    "/account/2fa/authenticate/": "sign_in",
    "/account/2fa/reauthenticate/": "confirm_identity",
}


class SecondFactorActs(Around):
    """Give each change of a second factor its actor and act in the audit trail."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, within the named act where one of the library's pages may write."""
        act = ACTS.get(request.path)
        if act is None:
            return self.get_response(request)
        person = _who(request)
        with acting(person, act):
            before = _factors(person)
            answer = self.get_response(request)
            if request.user.is_authenticated and _factors(person) != before:
                end_other_sign_ins(request.user)
                update_session_auth_hash(request, request.user)
            return answer


def _factors(person: Staff | None) -> set[int]:
    """Return the keys of a person's second factors: one that is made anew has another."""
    return set(Authenticator.objects.filter(user=person).values_list("pk", flat=True))


def _who(request: HttpRequest) -> Staff | None:
    """Return who is signed in, or who gave the password a moment ago."""
    if request.user.is_authenticated:
        return request.user
    stage = get_pending_stage(request)
    return stage.login.user if stage is not None else None
