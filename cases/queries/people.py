"""Who can be named on a case."""

from __future__ import annotations

from typing import Any

from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES, Role


def staff_holding(*roles: Role) -> Any:
    """Return the active staff who hold one of the roles, by name."""
    names = [role.value for role in roles or tuple(CASE_ROLES)]
    return (
        Staff.objects.filter(is_active=True, groups__name__in=names)
        .distinct()
        .order_by("display_name", "id")
    )
