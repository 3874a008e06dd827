"""Reads of what was set aside."""

from __future__ import annotations

from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef

from cases.models import Case
from evidence.lacking.models import SetAside
from me_office.audit.errors import NotKnown


def keys_set_aside(case: Case) -> frozenset[str]:
    """Return what need not be pointed out in a case again; one statement."""
    rows = SetAside.objects.standing().filter(case=case)
    return frozenset(rows.values_list("key", flat=True))


def keys_of_case() -> ArraySubquery:
    """Return the same for the case of an outer query."""
    return ArraySubquery(SetAside.objects.standing().filter(case=OuterRef("pk")).values("key"))


def set_aside_in(case: Case) -> list[SetAside]:
    """Return what was set aside in a case, newest first, with who did it; one statement."""
    rows = SetAside.objects.standing().filter(case=case).select_related("created_by")
    return list(rows.order_by("-created_at", "-id"))


def one_set_aside(case: Case, record_id: UUID) -> SetAside:
    """Return what was set aside, also when it was taken back. Raises NotKnown."""
    found: SetAside | None = SetAside.objects.filter(case=case, pk=record_id).first()
    if found is None:
        raise NotKnown("Nothing of this key was set aside in this case.")
    return found
