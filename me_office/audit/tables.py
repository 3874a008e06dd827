"""What the tables of the office say alike: whose a row is, who did it, what must hold of it."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from django.conf import settings
from django.db import models

from me_office.worded import as_choices

if TYPE_CHECKING:
    from me_office.accounts.models import Staff

RowT = TypeVar("RowT", bound=models.Model)


def points_to(there: type[RowT], called: str = "+") -> models.ForeignKey[RowT, RowT]:
    """Return the column of the record that a row belongs to or names; no form asks for it.

    `called` are its rows on the side of that record.
    """
    return models.ForeignKey(there, models.PROTECT, related_name=called, editable=False)


def staff_chosen() -> models.ForeignKey[Staff, Staff]:
    """Return the column of a person whom a form asks for."""
    return models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")


def staff_if_any() -> models.ForeignKey[Staff | None, Staff | None]:
    """Return the column of a person whom a form asks for, and who may be left out."""
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )


def staff_who() -> models.ForeignKey[Staff, Staff]:
    """Return the column of who did it; no form asks for it."""
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )


def staff_later() -> models.ForeignKey[Staff | None, Staff | None]:
    """Return the column of who did what is done later, if ever; no form asks for it."""
    return models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        editable=False,
    )


def state_from(first: StrEnum, max_length: int) -> models.CharField[str, str]:
    """Return the column of a state, which begins with `first`; actions move it, and no form."""
    return models.CharField(
        max_length=max_length,
        choices=as_choices(type(first)),
        default=first.value,
        editable=False,
    )


def must(name: str, condition: models.Q, message: str = "") -> models.CheckConstraint:
    """Return the constraint that this holds of every row; `message` says it beside the field."""
    return models.CheckConstraint(
        condition=condition, name=name, violation_error_message=message or None
    )


def once_active(
    name: str, *what: str | models.Func | models.Value, message: str = ""
) -> models.UniqueConstraint:
    """Return the constraint that no two records that count agree in these fields.

    A voided one no longer counts. `message` says it beside the field.
    """
    counts = models.Q(voided_at=None)
    fields = [one for one in what if isinstance(one, str)]
    if len(fields) < len(what):
        return models.UniqueConstraint(
            *what, condition=counts, name=name, violation_error_message=message or None
        )
    return models.UniqueConstraint(
        fields=fields, condition=counts, name=name, violation_error_message=message or None
    )


def of_active(name: str, *fields: str) -> models.Index:
    """Return the index over the records that count; a voided one no longer does."""
    return models.Index(fields=fields, condition=models.Q(voided_at=None), name=name)
