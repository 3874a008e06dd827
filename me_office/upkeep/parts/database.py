"""The database."""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.db import OperationalError, connection

from me_office.upkeep.applied import standing
from me_office.upkeep.conditions import Said, condition, right, wrong
from me_office.version import VERSION

# As PostgreSQL names what REINDEX CONCURRENTLY leaves where it is cut off (its documentation of
# REINDEX, "Rebuilding Indexes Concurrently").
_OF_A_REBUILDING = re.compile(r"_cc(new|old)\d*\"?$")


@condition("database", serving=True, asks_database=True)
def database() -> Iterator[Said]:
    """Does it answer?"""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except OperationalError as error:
        reason = str(error).strip().splitlines()[0]
        yield wrong(
            f"It does not answer: {reason}. No page opens.",
            "Start PostgreSQL (systemctl start postgresql) and read its log: a full disk stops it, "
            "too. The office goes on by itself then. Or mend DATABASE_URL and restart the office.",
        )
        return
    yield right("It answers.")


@condition("tables", serving=True, asks_database=True)
def tables() -> Iterator[Said]:
    """Have they all that this version needs?"""
    missing, _ = standing(connection)
    if missing:
        count = "1 migration" if len(missing) == 1 else f"{len(missing)} migrations"
        yield wrong(
            f"They lack {count} of version {VERSION}, from {missing[0]} on: pages end in an error.",
            "As the owner of the tables: manage.py migrate, then manage.py grant_app_role.",
        )
        return
    yield right(f"They have all that version {VERSION} needs.")


# Not asked of who is to serve: while a new version is rolled out, the old one works on beside its
# tables, and people go on while an index is made.
@condition("version", asks_database=True)
def version() -> Iterator[Said]:
    """Has no newer version been here?"""
    _, newer = standing(connection)
    if newer:
        yield wrong(
            f"A newer version has been here: the database has gone {', '.join(newer)}, which "
            f"version {VERSION} does not know.",
            "Run the newer version, or restore the backup from before it.",
        )
        return
    yield right(f"It is {VERSION}, and no newer one has been here.")


@condition("indexes", asks_database=True)
def indexes() -> Iterator[Said]:
    """Was each made to its end?"""
    with connection.cursor() as cursor:
        # One that somebody makes now is not whole yet, and nothing is wrong with that: its table
        # is locked so. What is under way itself is told to the one who does it alone.
        cursor.execute(
            "SELECT indexrelid::regclass::text FROM pg_index WHERE NOT indisvalid"
            " AND NOT EXISTS (SELECT FROM pg_locks WHERE relation = indrelid AND granted"
            " AND mode = 'ShareUpdateExclusiveLock') ORDER BY 1"
        )
        broken = [name for (name,) in cursor.fetchall()]
    missing, _ = standing(connection)
    for name in broken:
        yield wrong(
            f"The index {name} was not made to its end: pages that use it are slow.",
            _mend(name, migrating=bool(missing)),
        )
    if not broken:
        yield right("Each was made to its end.")


def _mend(name: str, *, migrating: bool) -> str:
    """Say how: a migration that was cut off, and one that a rebuilding left, are made anew."""
    owner = "As the owner of the tables: "
    if migrating or _OF_A_REBUILDING.search(name):
        then = "; then manage.py migrate" if migrating else ""
        return f"{owner}DROP INDEX CONCURRENTLY {name}{then}"
    return f"{owner}REINDEX INDEX CONCURRENTLY {name};"
