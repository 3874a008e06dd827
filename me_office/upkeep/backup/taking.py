"""Copies the office away while people work: the database in one snapshot, then every file."""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import IO, Any, cast

import psycopg
from django.core.files.storage import default_storage
from psycopg import sql

from evidence import store
from evidence.store import lying, named
from me_office.upkeep.backup import postgres
from me_office.upkeep.backup.sealing import Sealed, seal
from me_office.upkeep.backup.target import (
    DATABASE,
    FORMAT,
    LIST,
    MANIFEST,
    Refused,
    Target,
    is_whole,
    write_whole,
)
from me_office.version import VERSION

# The number of the lock that a backup holds in the database: "backup" in ASCII.
LOCK = 0x6261636B7570
NOT_NAMED = "not in this dump"
CHANGED = "altered while it was read"


@dataclass
class Taken:
    """What a backup holds and what it could not."""

    name: str
    manifest: dict[str, Any]
    store_is_empty: bool = False
    copied: int = 0
    kept_before: int = 0
    not_whole: list[tuple[str, str]] = field(default_factory=list)


Say = Callable[[str], object]


def take(target: Target, keys: Sequence[Any], params: dict[str, Any], *, say: Say) -> Taken:
    """Make one backup and return what it holds. Raises Refused, NoTool, OSError, StoreAway.

    A file that is missing or altered is named in it; the rest is copied all the same. What was
    copied stays for the next backup, the manifest is written last.
    """
    with _alone(params) as office, target.held(office):
        began = datetime.now(UTC)
        folder = _folder_for(target, began)
        folder.mkdir(parents=True)
        try:
            return _fill(folder, began, target, keys, params, say)
        except BaseException:
            # Without its files the database is no backup; those that were copied stay.
            shutil.rmtree(folder, ignore_errors=True)
            raise


def _folder_for(target: Target, began: datetime) -> Path:
    """Return the folder that is named by the second, or by the next that has none yet."""
    while (folder := target.backups / f"{began:%Y-%m-%dT%H%M%SZ}").exists():
        began += timedelta(seconds=1)
    return folder


def _fill(
    folder: Path,
    began: datetime,
    target: Target,
    keys: Sequence[Any],
    params: dict[str, Any],
    say: Say,
) -> Taken:
    taken = Taken(folder.name, {})
    with tempfile.TemporaryFile("w+") as rows, tempfile.TemporaryFile("w+") as listed:
        say("The database ...")
        snapshot, database = _copy_database(folder, keys, params, rows)
        say("The files ...")
        count = _copy_files(target, keys, rows, listed, taken)
        listed.seek(0)
        text = cast(IO[bytes], _Encoded(listed))
        parts = {DATABASE: database, LIST: seal(text, folder / LIST, keys)}
    taken.manifest = {
        "format": FORMAT,
        "name": taken.name,
        "version": VERSION,
        "began_at": began.isoformat(timespec="seconds"),
        "finished_at": datetime.now(UTC).isoformat(timespec="seconds"),
        **snapshot,
        "files": count,
        "not_whole": taken.not_whole,
        "store_was_empty": taken.store_is_empty,
        "parts": {name: part.as_json() for name, part in parts.items()},
    }
    write_whole(folder / MANIFEST, json.dumps(taken.manifest, indent=1))
    return taken


@contextmanager
def _alone(params: dict[str, Any]) -> Iterator[str]:
    """Hold the office's lock for one backup; yield the office's id. Raises Refused."""
    with postgres.connect(params) as connection:
        got = connection.execute("SELECT pg_try_advisory_lock(%s)", [LOCK]).fetchone()
        if not got or not got[0]:
            raise Refused("Another backup of this office is being made.")
        found = connection.execute("SELECT id::text FROM evidence_officeidentity").fetchone()
        if found is None:
            raise Refused("This office has no id: run manage.py migrate first.")
        yield str(found[0])


def _copy_database(
    folder: Path, keys: Sequence[Any], params: dict[str, Any], rows: IO[str]
) -> tuple[dict[str, Any], Sealed]:
    """Dump the database, list the files that its rows name and count it, all in one snapshot."""
    with postgres.connect(params) as connection, connection.transaction():
        connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        found = connection.execute("SELECT pg_export_snapshot()").fetchone()
        program = postgres.tool("pg_dump", least=postgres.major_of_server(connection))
        facts = postgres.facts(connection)
        _list_rows(connection, rows)
        sealed = _dump(program, params, str(found[0] if found else ""), folder / DATABASE, keys)
    return facts, sealed


def _dump(
    program: Path, params: dict[str, Any], snapshot: str, there: Path, keys: Sequence[Any]
) -> Sealed:
    words, environment = postgres.command(
        program, params, "--format=custom", f"--snapshot={snapshot}"
    )
    with tempfile.TemporaryFile() as errors:
        dump = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=errors, env=environment)
        try:
            sealed = seal(cast(IO[bytes], dump.stdout), there, keys)
        except BaseException:
            dump.kill()
            raise
        finally:
            cast(IO[bytes], dump.stdout).close()
            ended = dump.wait()
        if ended:
            there.unlink()
            errors.seek(0)
            raise Refused(f"pg_dump ended with {ended}: {errors.read().decode()[:2000]}")
    return sealed


def _list_rows(connection: psycopg.Connection[Any], rows: IO[str]) -> None:
    """Write a line for each file that a row names."""
    for model in named.kinds():
        query = sql.SQL("SELECT path, sha256, size_bytes FROM {} WHERE path <> '' ORDER BY path")
        with connection.cursor(name="files") as cursor:
            cursor.execute(query.format(sql.Identifier(model._meta.db_table)))
            for path, sha256, size in cursor:
                said = {"path": path, "sha256": sha256, "size_bytes": size}
                rows.write(json.dumps({**said, "named_by": model._meta.label_lower}) + "\n")


def _copy_files(
    target: Target, keys: Sequence[Any], rows: IO[str], listed: IO[str], taken: Taken
) -> dict[str, int]:
    """Copy what the rows name, then what else lies in the store; list both. Return the counts."""
    count = {"named": 0, "size_bytes": 0, "not_in_this_dump": 0}
    rows.seek(0)
    # Names, not rows: two million of them are 300 MB at most.
    known = set()
    for line in rows:
        one = json.loads(line)
        known.add(one["path"])
        count["named"] += 1
        count["size_bytes"] += one["size_bytes"]
        problem = _copy(target, keys, one["path"], one["sha256"], taken)
        if problem:
            taken.not_whole.append((one["path"], problem))
            one["not_whole"] = problem
        listed.write(json.dumps(one) + "\n")
    taken.store_is_empty = count["named"] > 0
    for _, names in lying.folders():
        for path in names:
            taken.store_is_empty = False
            if path not in known and (one := _copy_unnamed(target, keys, path, taken)):
                count["not_in_this_dump"] += 1
                listed.write(json.dumps(one) + "\n")
    return count


def _copy_unnamed(
    target: Target, keys: Sequence[Any], path: str, taken: Taken
) -> dict[str, Any] | None:
    """Copy what no row of the dump names: it came later, or nothing ever named it."""
    try:
        sha256, size = store.digest_of(path), default_storage.size(path)
    except FileNotFoundError:  # an attempt has taken back what it published
        return None
    except store.StoreFault:
        problem: str | None = CHANGED
    except OSError as error:
        problem = f"cannot be read: {error.strerror or type(error).__name__}"
    else:
        problem = _copy(target, keys, path, sha256, taken)
        if problem == "missing":
            return None
    if problem:
        taken.not_whole.append((path, problem))
        return None
    return {"path": path, "sha256": sha256, "size_bytes": size, "named_by": NOT_NAMED}


def _copy(target: Target, keys: Sequence[Any], path: str, sha256: str, taken: Taken) -> str | None:
    """Copy one file, unless the target has it whole; return what is wrong with it, if anything."""
    there = target.file(sha256)
    if there is not None:
        if is_whole(there):
            taken.kept_before += 1
            return None
        target.remove(sha256)
    part = target.files / sha256[:2] / f"part-{sha256}"
    try:
        with default_storage.open(path) as source:
            sealed = seal(source, part, keys)
    except FileNotFoundError:
        return "missing"
    except store.StoreFault:
        return CHANGED
    except OSError as error:
        if store.can_be_read(path):
            raise  # the target is full or away
        return f"cannot be read: {error.strerror or type(error).__name__}"
    if sealed.sha256 != sha256:
        part.unlink()
        return "altered"
    target.take_in(part, sha256, sealed.sealed_sha256)
    taken.copied += 1
    return None


class _Encoded:
    """Text read as bytes."""

    def __init__(self, text: IO[str]) -> None:
        self.text = text

    def read(self, size: int = -1) -> bytes:
        return self.text.read(size if size < 0 else max(1, size // 4)).encode()
