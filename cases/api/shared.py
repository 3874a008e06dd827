"""What the endpoints of every part of a case have in common."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request

from cases.access import Act, require
from cases.models import Case
from me_office.audit.actions import note_access
from me_office.audit.errors import NotKnown


def case_seen(request: Request, case_id: UUID, what: str) -> Case:
    """Return the case if the person may see it, and note that they looked. Raises NotKnown."""
    case: Case | None = Case.objects.filter(pk=case_id).first()
    if case is None:
        raise NotKnown("There is no such case.")
    require(request.user, Act.SEE, case)
    note_access(request.user, case_id=case.pk, what=what)
    return case
