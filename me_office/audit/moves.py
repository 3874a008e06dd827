"""Has the database hold which state of a record may follow which, after every migration.

The tables of moves stay in the rules, where the actions read them; what is here writes the same
tables into plain SQL triggers, for a statement that comes past the actions.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import connections
from django.db.models import Model

NAME = "state_moves"


def hold_moves(
    model: type[Model],
    moves: Mapping[Any, Iterable[Any]],
    first: Iterable[Any],
    *,
    using: str = "default",
) -> None:
    """Make the trigger of one table if it is missing or otherwise; safe to run again.

    `moves` is the table of the rules, `first` the states in which a new row may begin.
    """
    table = model._meta.db_table
    begins = ",".join(sorted(str(one) for one in first))
    allowed = ",".join(sorted(f"{was}>{to}" for was, after in moves.items() for to in after))
    statement = (
        f"CREATE TRIGGER {NAME} BEFORE INSERT OR UPDATE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION state_moves('{begins}', '{allowed}')"
    )
    connection = connections[using]
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_proc WHERE proname = 'state_moves'")
        known = cursor.fetchone()
        if known is None or table not in connection.introspection.table_names(cursor):
            return  # their migrations have not run
        cursor.execute(
            "SELECT pg_get_triggerdef(t.oid, true) FROM pg_trigger t"
            " JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace"
            " WHERE t.tgname = %s AND c.relname = %s AND n.nspname = 'public'"
            " AND t.tgenabled = 'O'",
            [NAME, table],
        )
        if cursor.fetchone() != (statement,):
            cursor.execute(statement.replace("CREATE", "CREATE OR REPLACE", 1))
            cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER {NAME}")
