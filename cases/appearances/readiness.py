"""What a witness still lacks for a date in court: each part of the office adds its check.

All checks of all dates of a page are read in one statement.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Exists, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse

from cases.appearances.models import Appearance
from cases.appearances.rules import HEARD
from cases.exhibits.models import Exhibit
from cases.review.late import undealt
from cases.rules.case import CaseState


@dataclass(frozen=True)
class Lack:
    """One thing that is not ready, and the page where it is mended."""

    words: str
    url: str


@dataclass(frozen=True)
class Check:
    """One question about a date that lies ahead.

    `annotations` are read with the dates; `says` turns a date with them into what it lacks.
    """

    key: str
    order: int
    says: Callable[[Any], Lack | None]
    annotations: dict[str, Any] = field(default_factory=dict)


_CHECKS: dict[str, Check] = {}


def register(check: Check) -> None:
    """Add a check; the same key again replaces it."""
    _CHECKS[check.key] = check


def with_facts(rows: QuerySet[Appearance]) -> QuerySet[Any]:
    """Read with dates in court whatever the checks ask."""
    asked = {name: value for check in _CHECKS.values() for name, value in check.annotations.items()}
    return rows.annotate(**asked)


def lacks_of(row: Any) -> list[Lack]:
    """Return what a date lacks that was read `with_facts`; nothing once it is over."""
    if not row.is_ahead:
        return []
    said = (check.says(row) for check in sorted(_CHECKS.values(), key=lambda one: one.order))
    return [lack for lack in said if lack is not None]


def _page(name: str, row: Any, **keys: object) -> str:
    return reverse(name, kwargs={"case_id": row.case_id, **keys})


def _report(row: Any) -> Lack | None:
    if row.case.state == CaseState.IN_REVIEW:
        return Lack("report not signed, in review", _page("review:review", row))
    if row.case.state != CaseState.SIGNED:
        return Lack("report not signed", _page("review:report", row))
    return None


def _late_result(row: Any) -> Lack | None:
    if row.late_result:
        return Lack("result without an addendum", _page("review:report", row))
    return None


def _exhibits(row: Any) -> Lack | None:
    if row.exhibit_set_id is None:
        if row.kind not in HEARD:
            return None
        return Lack("no exhibit set", _page("appearances:edit", row, record_id=row.pk))
    if row.exhibit_set.is_voided:
        return Lack("exhibit set withdrawn", _page("appearances:edit", row, record_id=row.pk))
    there = _page("exhibits:set", row, set_id=row.exhibit_set_id)
    if not row.exhibits_in_set:
        return Lack("exhibit set empty", there)
    if row.exhibits_unexplained:
        words = "exhibit" if row.exhibits_unexplained == 1 else "exhibits"
        return Lack(f"{row.exhibits_unexplained} {words} without plain words", there)
    return None


def _count(rows: QuerySet[Exhibit]) -> Coalesce:
    of_set = rows.filter(exhibit_set=OuterRef("exhibit_set")).order_by().values("exhibit_set")
    return Coalesce(
        Subquery(of_set.annotate(n=Count("pk")).values("n"), output_field=IntegerField()), 0
    )


register(Check("report", 10, _report))
register(
    Check(
        "late-result",
        20,
        _late_result,
        {"late_result": Exists(undealt().filter(case=OuterRef("case")))},
    )
)
register(
    Check(
        "exhibits",
        30,
        _exhibits,
        {
            "exhibits_in_set": _count(Exhibit.objects.active()),
            "exhibits_unexplained": _count(Exhibit.objects.active().filter(plain_words="")),
        },
    )
)
