"""Puts the lock of a signed case on every table with a case, after every migration.

Beside the guards of the audit trail, in their way: plain SQL triggers without a switch. A row of a
signed case is neither added nor changed, but for what `cases.after_signature` lets follow and for
what an amendment names that was inserted in the same transaction. That it was is read from the
audit trail, which only its own triggers write.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connections

from cases.after_signature import MAY_FOLLOW
from cases.models import Case

# What the office keeps beside the words of a record.
BOOKKEEPING = ("version", "changed_at", "changed_by_id")
# What may change on the row of the signed case itself, and on the report by its own moves.
CASE_COLUMNS = ("restricted", "body_in_since")
# The trail notes looks and acts themselves.
NOT_LOCKED = frozenset({"audit_auditevent", "audit_accessevent", Case._meta.db_table})


def locked_tables() -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Yield (table, moments, free columns) of every table that the signature locks."""
    for model in sorted(apps.get_models(), key=lambda one: one._meta.db_table):
        table = model._meta.db_table
        columns = {field.column for field in model._meta.concrete_fields}
        if "case_id" not in columns or table in NOT_LOCKED or not model._meta.managed:
            continue
        rule = MAY_FOLLOW.get(table)
        if rule is None:
            yield table, "INSERT OR UPDATE", ()
        elif not rule.adds:
            yield table, "INSERT OR UPDATE", rule.columns
        elif not rule.changes:
            yield table, "UPDATE", ()
    yield Case._meta.db_table, "UPDATE", CASE_COLUMNS


def lock_tables(*, using: str = "default", **_: Any) -> None:
    """Make the triggers that are missing or not as they must be; safe to run again."""
    connection = connections[using]
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_proc WHERE proname = 'case_locked'")
        if cursor.fetchone() is None:
            return  # the migration that makes the function has not run
        there = set(connection.introspection.table_names(cursor))
        cursor.execute(
            "SELECT c.relname, pg_get_triggerdef(t.oid, true) FROM pg_trigger t"
            " JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace"
            " WHERE t.tgname = 'signed_case_locked' AND n.nspname = 'public'"
            " AND t.tgenabled = 'O'"
        )
        standing = dict(cursor.fetchall())
        wanted = {
            table: _statement(table, moments, free) for table, moments, free in locked_tables()
        }
        for table, statement in wanted.items():
            if table in there and standing.get(table) != statement:
                cursor.execute(statement.replace("CREATE", "CREATE OR REPLACE", 1))
                cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER signed_case_locked")
        for table in set(standing) - set(wanted):
            cursor.execute(f"DROP TRIGGER signed_case_locked ON {table}")


def _statement(table: str, moments: str, free: tuple[str, ...]) -> str:
    columns = ",".join((*BOOKKEEPING, *free))
    return (
        f"CREATE TRIGGER signed_case_locked BEFORE {moments} ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION case_locked('{columns}')"
    )
