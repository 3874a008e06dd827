"""Puts the audit triggers on every table that must have them, after every migration.

Plain SQL triggers, not a library's: they have no switch that the application's role could set.
A model says what it needs: `watched` (changes are written to the trail), `kept_for_ever` (rows
are never deleted), `append_only` (rows are never changed either).
"""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import connections

# Tables of other apps that say who may do what.
ALSO_WATCHED = ["accounts_staff_groups", "guardian_userobjectpermission"]


def tables_that(flag: str) -> list[str]:
    """Return the tables of all models that carry a flag, in a fixed order."""
    return sorted(
        model._meta.db_table
        for model in apps.get_models()
        if getattr(model, flag, False) and model._meta.managed and not model._meta.proxy
    )


def guard_tables(*, using: str = "default", **_: Any) -> None:
    """Create the triggers where they are missing; safe to run again."""
    connection = connections[using]
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_proc WHERE proname = 'audit_change'")
        if cursor.fetchone() is None:
            return  # the migration that makes the functions has not run
        for table in [*tables_that("watched"), *ALSO_WATCHED]:
            if table in there:
                cursor.execute(
                    f"CREATE OR REPLACE TRIGGER audit_change AFTER INSERT OR UPDATE OR DELETE "
                    f'ON "{table}" FOR EACH ROW EXECUTE FUNCTION audit_change()'
                )
        for table in tables_that("kept_for_ever"):
            if table in there:
                _refuse(cursor, table, "never_deleted", "DELETE OR TRUNCATE")
        for table in tables_that("append_only"):
            if table in there:
                _refuse(cursor, table, "append_only", "UPDATE OR DELETE OR TRUNCATE")


def _refuse(cursor: Any, table: str, name: str, operations: str) -> None:
    cursor.execute(
        f"CREATE OR REPLACE TRIGGER {name} BEFORE {operations} "
        f'ON "{table}" FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()'
    )
