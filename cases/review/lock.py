"""Puts the lock of a signed case on every table with a case, after every migration.

Beside the guards of the audit trail, in their way: plain SQL triggers without a switch. A row of a
signed case is neither added nor changed, but for what `cases.rules.after_signature` lets follow and
for what an amendment names that was inserted in the same transaction. That it was is read from the
audit trail, which only its own triggers write.
"""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps
from django.db import connections

from cases.models import Case
from cases.rules.after_signature import MAY_FOLLOW
from me_office.audit.triggers import Trigger, has_function, put_right, there

LOCK = "signed_case_locked"
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
            yield table, "UPDATE", rule.columns
    yield Case._meta.db_table, "UPDATE", CASE_COLUMNS


def lock_tables(*, using: str = "default", **_: object) -> None:
    """Make the triggers that are missing or not as they must be; safe to run again."""
    connection = connections[using]
    if not has_function(connection, "case_locked"):
        return  # the migration that makes the function has not run
    wanted = {
        table: Trigger(table, LOCK, _statement(table, moments, free))
        for table, moments, free in locked_tables()
    }
    put_right(connection, wanted.values())
    with connection.cursor() as cursor:
        for table in {on for on, name in there(connection) if name == LOCK} - set(wanted):
            cursor.execute(f"DROP TRIGGER {LOCK} ON {table}")


def _statement(table: str, moments: str, free: tuple[str, ...]) -> str:
    columns = ",".join((*BOOKKEEPING, *free))
    return (
        f"CREATE TRIGGER {LOCK} BEFORE {moments} ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION case_locked('{columns}')"
    )
