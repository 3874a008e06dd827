"""The people who keep the office."""

from __future__ import annotations

from collections.abc import Iterator

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.db.models import Exists, OuterRef

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.upkeep.conditions import Said, condition, dangerous, right, wrong


@condition("administrator", asks_database=True)
def administrator() -> Iterator[Said]:
    """Is there somebody who can open accounts, and is their sign-in safe?"""
    factor = Authenticator.objects.filter(user=OuterRef("pk"), type=Authenticator.Type.TOTP)
    found = list(
        Staff.objects.filter(groups__name=Role.ADMINISTRATOR.value, is_active=True)
        .annotate(safe=Exists(factor))
        .order_by("username")
    )
    if not found:
        yield wrong(
            "There is none: nobody can open accounts.",
            'manage.py first_administrator USER "NAME"',
        )
        return
    if settings.REQUIRE_SECOND_FACTOR:
        for one in found:
            if one.must_change_password or not one.safe:
                yield dangerous(
                    f"{one.username} has not chosen a password and set up a second factor yet: "
                    "whoever saw the first password can.",
                    f"Let {one.username} sign in now.",
                )
        if not all(one.safe and not one.must_change_password for one in found):
            return
    yield right(f"Accounts are opened by {', '.join(one.username for one in found)}.")
