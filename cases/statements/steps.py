"""What earlier statements add to what is not ready for a date in court."""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef
from django.urls import reverse

from cases.appearances.readiness import Check, Lack, register
from cases.statements.models import Statement
from me_office.jobs.rules import JobState


def _unread(row: Any) -> Lack | None:
    if not row.statement_unread:
        return None
    page = reverse("statements:statements", kwargs={"case_id": row.case_id})
    return Lack("earlier statement not read", page)


_NOT_READ = Statement.objects.active().exclude(state=JobState.MADE.value)
register(
    Check(
        "statements",
        40,
        _unread,
        {"statement_unread": Exists(_NOT_READ.filter(case=OuterRef("case")))},
    )
)
