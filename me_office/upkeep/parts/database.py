"""The database."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import OperationalError, connection

from me_office.upkeep.applied import due, unknown
from me_office.upkeep.conditions import Said, condition, right, wrong
from me_office.version import VERSION


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
    """Are they those of this version, whole?"""
    if newer := unknown(connection):
        yield wrong(
            f"A newer version has been here: the database has gone {', '.join(newer)}, which "
            f"version {VERSION} does not know.",
            "Run the newer version, or restore the backup from before it.",
        )
    if missing := due(connection):
        count = "1 migration" if len(missing) == 1 else f"{len(missing)} migrations"
        yield wrong(
            f"They lack {count} of version {VERSION}, from {missing[0]} on.",
            "As the owner of the tables: manage.py migrate, then manage.py grant_app_role.",
        )
    with connection.cursor() as cursor:
        cursor.execute("SELECT indexrelid::regclass FROM pg_index WHERE NOT indisvalid ORDER BY 1")
        broken = [name for (name,) in cursor.fetchall()]
    for name in broken:
        yield wrong(
            f"The index {name} was not made to its end: pages that use it are slow.",
            f"As the owner of the tables: REINDEX INDEX CONCURRENTLY {name};",
        )
    if not (newer or missing or broken):
        yield right(f"They are those of version {VERSION}.")
