"""Reads of accounts, for administrators."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from allauth.mfa.models import Authenticator
from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import Exists, OuterRef, Q, QuerySet

from me_office.accounts.models import Staff
from me_office.audit.errors import known_of_office
from me_office.audit.ids import uuid_in

PAGE = 60


@dataclass(frozen=True)
class People:
    """One page of accounts by name, and the key of the next page."""

    people: list[Any]
    next_key: str


def people(*, closed: bool = False, after: str = "") -> People:
    """Return a page of accounts with `role_names` and `has_second_factor`; one statement."""
    rows = _told(Staff.objects.filter(is_active=not closed))
    name, _, key = after.rpartition("_")
    if name and uuid_in(key):
        rows = rows.filter(Q(display_name__gt=name) | Q(display_name=name, id__gt=UUID(key)))
    found = list(rows.order_by("display_name", "id")[: PAGE + 1])
    last = found[PAGE - 1] if len(found) > PAGE else None
    return People(found[:PAGE], f"{last.display_name}_{last.pk}" if last else "")


def person_of(staff_id: UUID) -> Any:
    """Return one account with `role_names` and `has_second_factor`. Raises NotKnown."""
    return known_of_office(_told(Staff.objects.filter(pk=staff_id)).first(), "account")


def accounts_to_look_at(*, second_factor_required: bool, most: int) -> list[Any]:
    """Return open accounts that nobody has made theirs yet, or that lack a second factor."""
    rows = _told(Staff.objects.filter(is_active=True))
    wanted = Q(last_login=None) | Q(must_change_password=True)
    if second_factor_required:
        wanted |= Q(has_second_factor=False)
    return list(rows.filter(wanted).order_by("display_name", "id")[:most])


def _told(rows: QuerySet[Staff]) -> QuerySet[Any]:
    factor = Authenticator.objects.filter(user=OuterRef("pk"), type=Authenticator.Type.TOTP)
    return rows.annotate(
        role_names=ArrayAgg("groups__name", filter=Q(groups__isnull=False), default=[]),
        has_second_factor=Exists(factor),
    )
