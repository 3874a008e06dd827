"""How sign-in behaves in an office: nobody signs up by themselves."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest

from me_office.accounts.models import Staff
from me_office.audit.address import address_of


class OfficeAdapter(DefaultAccountAdapter):
    """Accounts are made by an administrator, never by a visitor."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": "The user name and the password do not go together.",
        "too_many_login_attempts": (
            "Too many attempts. Wait five minutes, then try again; "
            "an administrator can also set a new password."
        ),
        "account_inactive": "This account is closed. Ask an administrator of the office.",
        "incorrect_password": "This is not your password.",
        "enter_current_password": "This is not your password now.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Refuse every sign-up."""
        return False

    def get_client_ip(self, request: HttpRequest) -> str:
        """Return the address that the trail says, too."""
        return address_of(request)

    def set_password(self, user: Staff, password: str) -> None:
        """Set the password that a person chose, as an act of theirs in the audit trail."""
        from me_office.accounts.actions import change_own_password

        change_own_password(user, password=password)

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Lead to the first page once a password is chosen."""
        return "/"
