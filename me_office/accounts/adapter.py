"""How sign-in behaves in an office: nobody signs up by themselves."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.internal.userkit import get_user_by_username
from django.http import HttpRequest

from me_office.accounts import tries
from me_office.accounts.models import Staff
from me_office.audit.address import address_of


class OfficeAdapter(DefaultAccountAdapter):
    """Accounts are made by an administrator, never by a visitor."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": "The user name or password is incorrect.",
        "account_inactive": "This account is closed. Ask an administrator of the office.",
        "incorrect_password": "This is not your password.",
        "enter_current_password": "This is not your current password.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Refuse every sign-up."""
        return False

    def get_client_ip(self, request: HttpRequest) -> str:
        """Return the address that the trail says, too."""
        return address_of(request)

    def authenticate(self, request: HttpRequest, **credentials: Any) -> Any:
        """Return who has this name and password, or None; each wrong one is counted.

        Raises ValidationError where somebody has to wait.
        """
        name = str(credentials.get("username", ""))
        signed_in = request.user.is_authenticated
        tried = tries.begin_in_form(
            place="confirming who it is" if signed_in else "sign-in",
            kind="password",
            name=name,
            # Whom the password would let in, as the library finds them: a database may take other
            # letters for the same (dotless i, long s) and would name somebody nobody signs in as.
            person=get_user_by_username(name.replace("\x00", "")),
            signed_in=signed_in,
        )
        person = super().authenticate(request, **credentials)
        if person is None:
            tried.failed()
        else:
            tried.passed()
        return person

    def set_password(self, user: Staff, password: str) -> None:
        """Set the password that a person chose, as an act of theirs in the audit trail."""
        from me_office.accounts.actions import change_own_password

        change_own_password(user, password=password)

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Lead to the first page once a password is chosen."""
        return "/"
