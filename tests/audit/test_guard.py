"""Migrating again leaves a live office alone, and mends a trigger that is not as it must be."""

from __future__ import annotations

import pytest
from django.db import connection

from me_office.audit.guard import guard_tables, tables_that, triggers

pytestmark = pytest.mark.django_db

STANDING = (
    "SELECT c.relname || ' ' || t.tgname, t.oid, t.xmin::text, t.tgenabled::text"
    " FROM pg_trigger t JOIN pg_class c ON c.oid = tgrelid WHERE NOT tgisinternal"
)
LOCKS = (
    "SELECT relation::regclass::text, mode FROM pg_locks"
    " WHERE pid = pg_backend_pid() AND locktype = 'relation' AND mode <> 'AccessShareLock'"
    " AND relation::regclass::text = ANY (%s)"
)


def standing() -> dict[str, tuple[str, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(STANDING)
        return {row[0]: row[1:] for row in cursor.fetchall()}


def locks() -> list[tuple[str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(LOCKS, [tables_that("watched")])
        return cursor.fetchall()


def test_nothing_is_made_again_and_no_table_is_locked_where_all_stands():
    before = standing()
    assert len(before) > 150
    guard_tables()
    assert standing() == before
    assert locks() == []


@pytest.mark.parametrize(
    "harm",
    [
        "DROP TRIGGER audit_change ON cases_medication",
        "ALTER TABLE cases_medication DISABLE TRIGGER audit_change",
        "CREATE OR REPLACE TRIGGER audit_change AFTER INSERT ON cases_medication"
        " FOR EACH ROW EXECUTE FUNCTION audit_change()",
        "CREATE OR REPLACE TRIGGER audit_change AFTER INSERT OR DELETE OR UPDATE"
        " ON cases_medication FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()",
    ],
)
def test_the_one_that_was_harmed_is_made_again_and_no_other(harm: str):
    before = standing()
    with connection.cursor() as cursor:
        cursor.execute(harm)
    guard_tables()
    after = standing()
    assert {name for name in after if after[name] != before[name]} <= {
        "cases_medication audit_change"
    }
    assert after["cases_medication audit_change"][-1] == "O"
    wanted = next(
        one.statement
        for one in triggers()
        if (one.table, one.name) == ("cases_medication", "audit_change")
    )
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_get_triggerdef(oid, true) FROM pg_trigger"
            " WHERE tgname = 'audit_change' AND tgrelid = 'cases_medication'::regclass"
        )
        assert cursor.fetchone() == (wanted,)
