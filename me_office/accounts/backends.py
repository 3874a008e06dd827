"""Who is signed in, read with the roles in one statement: every page asks for both."""

from __future__ import annotations

from functools import cache
from typing import Any
from uuid import UUID

from allauth.account.auth_backends import AuthenticationBackend
from django.contrib.auth.models import Group
from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, QuerySet

from me_office.accounts.models import Staff
from me_office.prepared import PreparedRows


class StaffBackend(AuthenticationBackend):  # allauth has no types
    """Signs in as allauth does."""

    def get_user(self, user_id: Any) -> Staff | None:
        """Return the person of a session with the names of their roles, or None."""
        person = next(iter(_with_roles().objects(Staff, user_id)), None)
        return person if person is not None and self.user_can_authenticate(person) else None


@cache
def _with_roles() -> PreparedRows:
    def rows_of(key: UUID) -> QuerySet[Any]:
        names = Group.objects.filter(user=OuterRef("pk")).values("name")
        return Staff.objects.annotate(role_names=ArraySubquery(names)).filter(pk=key).order_by()

    return PreparedRows(rows_of)
