"""The database."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor

from me_office.upkeep.conditions import Said, condition, right, wrong


@condition("database", serving=True)
def database() -> Iterator[Said]:
    """Does it answer?"""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except OperationalError as error:
        reason = str(error).strip().splitlines()[0]
        yield wrong(f"It does not answer: {reason}.", "Start PostgreSQL, or mend DATABASE_URL.")
        return
    yield right("It answers.")


@condition("tables", serving=True)
def tables() -> Iterator[Said]:
    """Has every migration of this code run?"""
    executor = MigrationExecutor(connection)
    due = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if due:
        yield wrong(
            f"{len(due)} migrations of this version have not run.",
            "As the owner of the tables: manage.py migrate, then manage.py grant_app_role.",
        )
        return
    yield right("They are those of this version.")
