"""Triggers as they must stand, and the statement that makes again what is otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

# How each is made, letter for letter, and "O" where it is switched on.
THERE = """
SELECT relname, tgname, pg_get_triggerdef(t.oid, true), tgenabled::text
  FROM pg_trigger t JOIN pg_class c ON c.oid = tgrelid JOIN pg_namespace n ON n.oid = relnamespace
 WHERE NOT tgisinternal AND nspname = 'public'
"""


@dataclass(frozen=True)
class Trigger:
    """One trigger as it must stand; its statement in the words of `pg_get_triggerdef`."""

    table: str
    name: str
    statement: str


def there(connection: Any) -> dict[tuple[str, str], tuple[str, str]]:
    """Return how every trigger that is there is made, and its state, by table and name."""
    with connection.cursor() as cursor:
        cursor.execute(THERE)
        return {(table, name): (made, state) for table, name, made, state in cursor.fetchall()}


def put_right(connection: Any, wanted: Iterable[Trigger]) -> None:
    """Make the triggers that are missing or not as they must be; safe to run again.

    One that stands as it must is left alone: making it again would lock its table against an
    office that works. A table that is not there yet is passed over.
    """
    found = there(connection)
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        for one in wanted:
            if one.table in tables and found.get((one.table, one.name)) != (one.statement, "O"):
                cursor.execute(one.statement.replace("CREATE", "CREATE OR REPLACE", 1))
                cursor.execute(f"ALTER TABLE {one.table} ENABLE TRIGGER {one.name}")


def has_function(connection: Any, name: str) -> bool:
    """Tell whether the migration that makes a function has run."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT FROM pg_proc WHERE proname = %s", [name])
        return cursor.fetchone() is not None
