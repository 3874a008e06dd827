"""The sign-in library's forms that ask for a code or a password, with the office's limits."""

from __future__ import annotations

from typing import Any

from allauth.account import forms as account_forms
from allauth.account.adapter import get_adapter
from allauth.core.internal.cryptokit import normalize_user_code
from allauth.mfa.adapter import get_adapter as get_mfa_adapter
from allauth.mfa.base import forms as mfa_forms
from allauth.mfa.models import Authenticator
from allauth.mfa.totp import forms as totp_forms
from django.core.exceptions import ValidationError

from me_office.accounts import tries
from me_office.audit.errors import TooSoon


class _CodeForm:
    """Counts, slows and records tries at a code."""

    user: Any
    place = "sign-in"
    signed_in = False

    def clean_code(self) -> str:
        """Refuse a wrong code beside its field."""
        tried = tries.begin_in_form(
            place=self.place,
            kind="code",
            name=self.user.username,
            person=self.user,
            signed_in=self.signed_in,
        )
        try:
            code: str = super().clean_code()  # type: ignore[misc]
        except ValidationError:
            tried.failed()
            raise
        # A recovery code is struck out by the library.
        chosen = getattr(self, "authenticator", None)
        of_an_app = chosen is None or chosen.type == Authenticator.Type.TOTP
        if of_an_app and not tries.is_first_use(self.user, normalize_user_code(code)):
            tried.failed()
            raise get_mfa_adapter().validation_error("incorrect_code")
        tried.passed()
        return code


class AuthenticateForm(_CodeForm, mfa_forms.AuthenticateForm):
    """The second step of a sign-in."""


class ReauthenticateForm(_CodeForm, mfa_forms.ReauthenticateForm):
    """Confirms by a code that it is the person."""

    place, signed_in = "confirming who it is", True


class ActivateTOTPForm(_CodeForm, totp_forms.ActivateTOTPForm):
    """Sets a second factor up."""

    place, signed_in = "setting up a second factor", True


class ChangePasswordForm(account_forms.ChangePasswordForm):
    """Changes the own password."""

    def clean_oldpassword(self) -> str:
        """Refuse a wrong password beside its field."""
        said: str = self.cleaned_data.get("oldpassword", "")
        try:
            fault = tries.wrong_own_password(self.user, said, place="changing the password")
        except TooSoon as error:
            raise ValidationError(error.message, code=error.code) from error
        if fault:
            raise get_adapter().validation_error("enter_current_password")
        return said
