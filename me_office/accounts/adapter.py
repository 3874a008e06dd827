"""How sign-in behaves in an office: nobody signs up by themselves."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class OfficeAdapter(DefaultAccountAdapter):
    """Accounts are made by an administrator, never by a visitor."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Refuse every sign-up."""
        return False
