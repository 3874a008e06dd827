"""Who is signed in, read with the roles in one statement: every page asks for both."""

from __future__ import annotations

from typing import Any

from allauth.account.auth_backends import AuthenticationBackend
from django.contrib.auth.models import Group
from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef

from me_office.accounts.models import Staff


class StaffBackend(AuthenticationBackend):  # allauth has no types
    """Signs in as allauth does."""

    def get_user(self, user_id: Any) -> Staff | None:
        """Return the person of a session with the names of their roles, or None."""
        names = Group.objects.filter(user=OuterRef("pk")).values("name")
        person = Staff.objects.annotate(role_names=ArraySubquery(names)).filter(pk=user_id).first()
        return person if person is not None and self.user_can_authenticate(person) else None
