"""What a witness still lacks for a date in court: each part of the office adds its check.

All checks of all dates of a page are read in one statement. What takes more reading than that is
asked on the page of one case alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from cases.appearances.models import Appearance
from cases.appearances.rules import HEARD
from cases.exhibits.models import Exhibit
from cases.models import Case
from cases.review.late import undealt
from cases.rules.case import CaseState
from me_office.accounts.models import Staff


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


@dataclass(frozen=True)
class Reading:
    """A question for which a case has to be read: what the dates of one case lack, by date.

    As many statements for sixty dates as for one.
    """

    key: str
    says: Callable[[Staff, Case, Sequence[Any]], Mapping[UUID, Sequence[Lack]]]


_CHECKS: dict[str, Check] = {}
_READINGS: dict[str, Reading] = {}


def register(check: Check) -> None:
    """Add a check; the same key again replaces it."""
    _CHECKS[check.key] = check


def register_reading(reading: Reading) -> None:
    """Add a question that reads a case; the same key again replaces it."""
    _READINGS[reading.key] = reading


def read_lacks(actor: Staff, case: Case, rows: Sequence[Any]) -> dict[UUID, list[Lack]]:
    """Return, by date that lies ahead, what is lacking for which the case has to be read."""
    now = timezone.now()
    ahead = [row for row in rows if row.is_ahead and row.begins_at > now]
    found: dict[UUID, list[Lack]] = {}
    for reading in _READINGS.values() if ahead else ():
        for key, lacks in reading.says(actor, case, ahead).items():
            found.setdefault(key, []).extend(lacks)
    return found


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
            "first_exhibit": Subquery(
                Exhibit.objects.active()
                .filter(exhibit_set=OuterRef("exhibit_set"))
                .order_by("position", "id")
                .values("pk")[:1]
            ),
            "exhibits_in_set": _count(Exhibit.objects.active()),
            "exhibits_unexplained": _count(Exhibit.objects.active().filter(plain_words="")),
        },
    )
)
