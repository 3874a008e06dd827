"""The examination, and the rows of it that an action locks."""

from __future__ import annotations

from functools import cache
from typing import TypeVar
from uuid import UUID

from django.db.models import QuerySet

from cases.models import Case, CaseRecord
from findings.models import Examination, Finding, Mark
from me_office.audit.errors import Refused, known
from me_office.audit.models import rows_of
from me_office.prepared import PreparedRows

RowT = TypeVar("RowT", bound=CaseRecord)


def examination_of(case: Case) -> Examination | None:
    """The examination of a case, or None while it is not opened."""
    return _of_case().one(Examination, case.pk)


@cache
def _of_case() -> PreparedRows:
    def rows_of(case_id: UUID) -> QuerySet[Examination]:
        rows = Examination.objects.filter(case=case_id).select_related("pathologist")
        return rows.order_by("pk")

    return PreparedRows(rows_of)


def examination_has_ended(case_id: UUID) -> bool:
    """Tell whether the examination of a case has an end."""
    return Examination.objects.filter(case_id=case_id, ended_at__isnull=False).exists()


def examination_for_update(case: Case) -> Examination:
    """The examination, locked until the transaction ends. Raises Refused when not opened."""
    found: Examination | None = (
        Examination.objects.select_for_update().filter(case=case).order_by("pk").first()
    )
    if found is None:
        raise Refused("Open the examination first.")
    return found


def record_for_update(model: type[RowT], case: Case, record_id: UUID, what: str) -> RowT:
    """Return a record of the case, locked. Raises NotKnown."""
    row = rows_of(model).select_for_update().filter(pk=record_id, case=case).first()
    return known(row, what)


def finding_for_update(case: Case, finding_id: UUID) -> Finding:
    """A finding of the case, locked. Raises NotKnown."""
    return record_for_update(Finding, case, finding_id, "finding")


def mark_for_update(case: Case, mark_id: UUID) -> Mark:
    """A mark of the case, locked. Raises NotKnown."""
    return record_for_update(Mark, case, mark_id, "mark")
