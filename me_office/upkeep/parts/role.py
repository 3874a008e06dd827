"""What the office's database role may do, and the server that it works on."""

from __future__ import annotations

import time
from collections.abc import Iterator

from django.apps import apps
from django.conf import settings
from django.db import Error, connection, transaction

from me_office.audit.management.commands.grant_app_role import rights_on
from me_office.upkeep.conditions import Said, condition, dangerous, right, wrong

RIGHTS = ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER")
OLDEST = 160000
# More than a network and a busy machine explain; less than what mixes up the order of events.
CLOCK_SECONDS = 2.0
GRANT = "As the owner of the tables: manage.py grant_app_role."


@condition("database role", asks_database=True)
def role() -> Iterator[Said]:
    """Does the office work as a role that owns nothing, and with the rights that it needs?"""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT current_user, rolsuper, rolcreaterole OR rolcreatedb OR rolbypassrls"
            " OR rolreplication, EXISTS (SELECT FROM pg_class c JOIN pg_namespace n"
            " ON n.oid = relnamespace WHERE nspname = 'public' AND relkind IN ('r', 'p')"
            " AND pg_has_role(current_user, relowner, 'MEMBER'))"
            " FROM pg_roles WHERE rolname = current_user"
        )
        name, everything, more, owner = cursor.fetchone()
    use = "Name the application's role in DATABASE_URL, not the one that migrate runs as."
    if everything:
        yield dangerous(
            f"{name} is a superuser: whoever takes the web process over can change every record "
            "and the trail of it.", use,
        )  # fmt: skip
        return
    if owner:
        yield dangerous(
            f"{name} owns the tables, or may act as their owner: the guards of records and trail "
            "do not hold against it.", use,
        )  # fmt: skip
        return
    if more:
        yield dangerous(
            f"{name} may make roles or databases, or passes by their rules.",
            f"As a superuser: ALTER ROLE {name} NOCREATEROLE NOCREATEDB NOBYPASSRLS NOREPLICATION;",
        )
    yield from _rights(name) or [right(f"{name} owns nothing and has the rights it needs.")]


def _rights(name: str) -> list[Said]:
    lacking, more = [], []
    for table, has in _tables().items():
        said = rights_on(table, _models().get(table))
        # A right on one column, UPDATE (id), is none on the table.
        wanted = {word.strip() for word in said.split(",") if word.strip() and "(" not in word}
        lacking += [f"{one} on {table}" for one in RIGHTS if one in wanted - has]
        more += [f"{one} on {table}" for one in RIGHTS if one in has - wanted]
    found = []
    if lacking:
        found.append(wrong(f"{name} lacks {_some(lacking)}: pages end in an error.", GRANT))
    if more:
        found.append(dangerous(f"{name} may do what it is not meant to: {_some(more)}.", GRANT))
    return found


def _models() -> dict[str, type]:
    return {
        model._meta.db_table: model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    }


def _tables() -> dict[str, set[str]]:
    """Return the tables with what the role may do with each."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname, ARRAY(SELECT one FROM unnest(%s::text[]) AS one"
            " WHERE has_table_privilege(c.oid, one))"
            " FROM pg_class c JOIN pg_namespace n ON n.oid = relnamespace"
            " WHERE nspname = 'public' AND relkind IN ('r', 'p') ORDER BY relname",
            [list(RIGHTS)],
        )
        return {table: set(may) for table, may in cursor.fetchall()}


def _some(words: list[str]) -> str:
    shown = ", ".join(words[:3])
    return shown if len(words) <= 3 else f"{shown} and {len(words) - 3} more"


@condition("database server", asks_database=True)
def server() -> Iterator[Said]:
    """Is it new enough, does it keep every character, does it know the office's zone?"""
    found = False
    for said in (*_version(), *_encoding(), *_zone()):
        found = True
        yield said
    if not found:
        yield right("It is new enough, keeps every character, and knows the office's time zone.")


def server_version() -> int:
    """Return PostgreSQL's version as a number: 170004 is 17.4."""
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version_num")
        return int(cursor.fetchone()[0])


def _version() -> Iterator[Said]:
    version = server_version()
    if version < OLDEST:
        yield wrong(
            f"It is PostgreSQL {version // 10000}; the office needs {OLDEST // 10000} or later.",
            "Install a later PostgreSQL and move the data there (pg_upgrade, or dump and restore).",
        )


def database_locale() -> tuple[str, str, str]:
    """Return the encoding, and the version of the collation: as noted, and as it is now."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_encoding_to_char(encoding), coalesce(datcollversion, ''),"
            " coalesce(pg_database_collation_actual_version(oid), '')"
            " FROM pg_database WHERE datname = current_database()"
        )
        encoding, noted, actual = cursor.fetchone()
    return str(encoding), str(noted), str(actual)


def _encoding() -> Iterator[Said]:
    encoding, noted, actual = database_locale()
    if encoding != "UTF8":
        yield wrong(
            f"The database keeps {encoding}: names with other letters are refused.",
            "Make it anew: CREATE DATABASE ... TEMPLATE template0 ENCODING 'UTF8'.",
        )
    if noted != actual:
        yield dangerous(
            "The system sorts text another way than when the indexes were made: searches may miss "
            "rows.",
            "As the owner of the database, while nobody works: REINDEX DATABASE; then ALTER "
            "DATABASE ... REFRESH COLLATION VERSION.",
        )


def _zone() -> Iterator[Said]:
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT now() AT TIME ZONE %s", [settings.TIME_ZONE])
    except Error:
        yield wrong(
            f"PostgreSQL does not know the zone {settings.TIME_ZONE}.",
            "Bring its time zones up to date (package tzdata), or name another OFFICE_TIME_ZONE.",
        )


@condition("clock", asks_database=True)
def clock() -> Iterator[Said]:
    """Do this machine and the database agree on the time?"""
    apart = seconds_apart()
    if abs(apart) > CLOCK_SECONDS:
        which = "behind" if apart > 0 else "ahead of"
        yield dangerous(
            f"This machine's clock is {abs(apart):.0f} s {which} the database's: times of the "
            "record and of the trail do not fit each other.",
            "Let both follow one time server: timedatectl set-ntp true",
        )
        return
    yield right("This machine and the database agree.")


def seconds_apart() -> float:
    """Return by how much the database's clock is ahead of this machine's."""
    with connection.cursor() as cursor:
        before = time.time()
        cursor.execute("SELECT extract(epoch FROM clock_timestamp())::float8")
        then = float(cursor.fetchone()[0])
        after = time.time()
    return then - (before + after) / 2
