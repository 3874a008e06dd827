"""Reads of the case file."""

from __future__ import annotations

from uuid import UUID

from cases.models import Case
from me_office.audit.errors import NotKnown


def case_for_update(case_id: UUID) -> Case:
    """Return the case, locked until the transaction ends. Raises NotKnown."""
    case = Case.objects.select_for_update().filter(pk=case_id).first()
    if case is None:
        raise NotKnown("There is no such case.")
    return case  # type: ignore[no-any-return]
