"""Builders fill what does not matter to a test; what matters is passed by name."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from typing import Any

from django.contrib.auth.models import Group
from django.db import connection, transaction
from django.db.models import QuerySet
from django.test import Client

from cases.models import Case, CaseNumberCounter, Decedent
from cases.rules.case import CaseState, case_number
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role

_running = itertools.count(1)
PASSWORD = "quiet ink on paper"
MOMENT = datetime(2026, 11, 14, 14, 20, tzinfo=UTC)
# Every role that sees cases, written out here: an administrator sees none.
CASE_STAFF = (
    Role.INVESTIGATOR,
    Role.PATHOLOGIST,
    Role.SUPERVISOR,
    Role.RECORDS_CLERK,
    Role.EVIDENCE_TECHNICIAN,
)


def make_staff(*roles: Role | str, name: str = "", **fields: Any) -> Staff:
    """A member of staff with the roles; who signs in or signs needs `with_password`."""
    n = next(_running)
    # No two accounts print one name: a second one is told apart.
    if name and Staff.objects.filter(display_name=name).exists():
        name = f"{name} ({n})"
    staff = Staff.objects.create(
        username=fields.pop("username", f"staff{n}"), display_name=name or f"Staff {n}", **fields
    )
    # What `staff.groups.add` does, in one statement instead of four: nobody is a member yet.
    held = Staff.groups.through
    held.objects.bulk_create(held(staff=staff, group=_group(str(Role(role)))) for role in roles)
    return staff


def with_password(person: Staff) -> Staff:
    """The person, who signs in and signs with PASSWORD from now on."""
    person.set_password(PASSWORD)
    person.save()
    return person


@cache
def _group(name: str) -> Group:
    """Return a role's group: migrating made it, and no test takes it away."""
    return Group.objects.get(name=name)


def as_person(person: Staff) -> Client:
    """A client of its own, signed in as the person: for tests in which several people act."""
    client = Client()
    client.force_login(person, backend="me_office.accounts.backends.StaffBackend")
    return client


def _next_number(year: int) -> int:
    """The year's next case number, of one statement instead of the five of a year's first."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {CaseNumberCounter._meta.db_table} AS kept (year, last) VALUES (%s, 1)"
            " ON CONFLICT (year) DO UPDATE SET last = kept.last + 1 RETURNING last",
            [year],
        )
        [running] = cursor.fetchone()
        return int(running)


def make_case(
    *,
    state: CaseState | str = CaseState.OPEN,
    by: Staff | None = None,
    family_name: str = "Hallstead",
    given_names: str = "Oren",
    age_years: float | None = 41,
    **fields: Any,
) -> Case:
    """A case with its decedent, written past the actions."""
    by = by or make_staff(Role.INVESTIGATOR)
    state = CaseState(state)
    numbered: dict[str, Any] = {}
    if state not in {CaseState.REPORTED, CaseState.DECLINED}:
        running = _next_number(2026)
        numbered = {
            "number": case_number("", 2026, running),
            "number_year": 2026,
            "number_running": running,
        }
    if state is CaseState.SIGNED:
        numbered["signed_at"] = MOMENT
    values: dict[str, Any] = {
        "heading": "Fall at a grain store",
        "reported_at": MOMENT,
        "place_of_death": "Mill Road 3, Tarnford",
        **numbered,
        **fields,
    }
    # The database adds nothing to a signed case, so that state comes last.
    begun = CaseState.OPEN if state is CaseState.SIGNED else state
    case = Case.objects.create(state=begun, created_by=by, changed_by=by, **values)
    Decedent.objects.create(
        case=case,
        family_name=family_name,
        given_names=given_names,
        search_name=f"{given_names} {family_name}",
        age_years=age_years,
        created_by=by,
        changed_by=by,
    )
    if state is CaseState.SIGNED:
        case.state = state
        case.save()
    return case


@contextmanager
def taken_back() -> Iterator[None]:
    """Take back whatever is done inside: for several ends of one beginning that is long."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@contextmanager
def past_the_triggers() -> Iterator[Any]:
    """Give a cursor for which no trigger runs: only the owner of the cluster can ask for this."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        yield cursor
        # Said as well as left: the transaction may be part of a longer one.
        cursor.execute("SET LOCAL session_replication_role = origin")


def set_back(rows: QuerySet[Any], **columns: Any) -> None:
    """Write columns that never change, as only the owner of the cluster can: to age a record."""
    with past_the_triggers():
        rows.update(**columns)
