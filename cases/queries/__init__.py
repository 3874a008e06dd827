"""Reads of the case file."""

from __future__ import annotations

from functools import cache
from typing import TypeVar
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from cases.models import Case, CaseNumberCounter, TeamMember
from me_office.audit.errors import NotKnown, known, known_of_office
from me_office.audit.models import Record
from me_office.prepared import PreparedRows

RowT = TypeVar("RowT", bound=Record)


def case_for_update(case_id: UUID) -> Case:
    """Return the case, locked until the transaction ends. Raises NotKnown.

    Rows that only name the case (a file that begins to come in) need not wait for it: its key
    never changes.
    """
    return known_of_office(_locked_case().one(Case, case_id), "case")


@cache
def _locked_case() -> PreparedRows:
    locked = Case.objects.select_for_update(no_key=True).order_by()
    return PreparedRows(lambda case_id: locked.filter(pk=case_id))


def locked_after_case(rows: QuerySet[RowT], what: str, *, case: Case | None = None) -> RowT:
    """Return the only one of the rows, locked; its case is locked before it. Raises NotKnown.

    For what a worker begins, who is told the row's key alone.
    """
    if case is None:
        case_id = rows.values_list("case_id", flat=True).first()
        if case_id is None:
            raise NotKnown(f"There is no such {what}.")
        case = case_for_update(case_id)
    return known(rows.filter(case=case).select_for_update(of=("self",)).first(), what)


def reserve_key(key: UUID) -> None:
    """Make twin requests for a new case wait for each other: there is no row to lock yet."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [str(key)])


def counter_for_update(year: int) -> CaseNumberCounter:
    """Return the year's counter of case numbers, locked until the transaction ends."""
    CaseNumberCounter.objects.bulk_create([CaseNumberCounter(year=year)], ignore_conflicts=True)
    return CaseNumberCounter.objects.select_for_update().get(year=year)


def memberships_for_update(case: Case) -> list[TeamMember]:
    """Return the active memberships of a case's team, locked."""
    rows = TeamMember.objects.active().select_for_update(of=("self",)).select_related("member")
    return list(rows.filter(case=case).order_by("id"))


def team_of(case: Case) -> frozenset[UUID]:
    """Return the keys of the people on a case's team."""
    rows = TeamMember.objects.active().filter(case=case)
    return frozenset(rows.values_list("member_id", flat=True))
