"""Puts an office up again from a backup, or only compares a backup with what it says of itself."""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, cast
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db.migrations.loader import MigrationLoader
from psycopg import sql

from evidence import store
from evidence.store import lying, named
from me_office import embedded
from me_office.upkeep.backup import postgres
from me_office.upkeep.backup.sealing import Broken, Nowhere, open_sealed
from me_office.upkeep.backup.target import DATABASE, LIST, Refused, Target, require_part
from me_office.upkeep.models import Restoration

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

# Lies in the store while an office is put up; it says from which backup, so that it can go on.
UNDER_WAY = "restoring.json"
Say = Callable[[str], object]
NoServer = embedded.NoServer


class Source:
    """One whole backup and the keys that open it."""

    def __init__(self, target: Target, name: str, keys: Sequence[Any]) -> None:
        """Read its manifest. Raises Refused."""
        self.target, self.name, self.keys = target, name, keys
        self.manifest = target.manifest(name)
        self.folder = target.backups / name

    def require_known_version(self) -> None:
        """Refuse what a newer version made: this one would not understand its rows."""
        known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
        newer = sorted(set(self.manifest["migrations"]) - known)
        if newer:
            raise Refused(
                f"A newer version ({self.manifest['version']}) made this backup: it has gone "
                f"{', '.join(newer[:5])}. Use that version."
            )

    def require_whole(self) -> None:
        """Look for a part or file that is missing before anything is written. Raises Broken."""
        require_part(self.folder, self.manifest, DATABASE)
        require_part(self.folder, self.manifest, LIST)
        for one in self.files():
            if "not_whole" not in one and self.target.file(one["sha256"]) is None:
                raise Broken(f"{one['path']} ({one['sha256']}) is missing from the backup.")

    def files(self) -> Iterator[dict[str, Any]]:
        """Yield what the list says of each file."""
        with tempfile.TemporaryFile() as opened:
            open_sealed(self.folder / LIST, opened, self.keys)
            opened.seek(0)
            for line in opened:
                yield json.loads(line)

    def open_file(self, one: dict[str, Any], out: Any) -> None:
        """Write the bytes of a file. Raises Broken where they are not what the list says."""
        there = self.target.file(one["sha256"])
        if there is None:
            raise Broken(f"{one['path']} ({one['sha256']}) is missing from the backup.")
        if open_sealed(there, out, self.keys).sha256 != one["sha256"]:
            raise Broken(f"{there} does not hold {one['path']}.")

    def fill(self, params: dict[str, Any]) -> None:
        """Fill an empty database, in one transaction. Raises Refused, Broken, NoTool."""
        program = postgres.tool("pg_restore", least=self.manifest["server"])
        words, environment = postgres.command(
            program, params, "--single-transaction", "--exit-on-error", "--no-owner",
            "--no-privileges", "--no-comments",
        )  # fmt: skip
        with tempfile.TemporaryFile() as errors:
            fill = subprocess.Popen(words, stdin=subprocess.PIPE, stderr=errors, env=environment)
            pipe = cast(IO[bytes], fill.stdin)
            try:
                open_sealed(self.folder / DATABASE, pipe, self.keys)
                pipe.close()
            except BrokenPipeError:
                pass  # it has ended, and says why
            except BaseException:
                fill.kill()
                raise
            finally:
                ended = fill.wait()
            if ended:
                errors.seek(0)
                raise Refused(f"pg_restore ended with {ended}: {errors.read().decode()[:2000]}")

    def differences(self, params: dict[str, Any]) -> list[str]:
        """Say in what a filled database is not the one that was copied."""
        with postgres.connect(params) as connection, connection.transaction():
            return postgres.differences(self.manifest, postgres.facts(connection))


def check(source: Source, params: dict[str, Any], *, say: Say) -> list[str]:
    """Restore a whole backup into an empty database and compare; every file is opened, none kept.

    Returns what is wrong. Raises Refused, Broken.
    """
    say("The database ...")
    source.fill(params)
    wrong = source.differences(params)
    say("The files ...")
    listed = set()
    for one in source.files():
        listed.add(one["path"])
        if "not_whole" in one:
            continue
        try:
            source.open_file(one, Nowhere())
        except Broken as error:
            wrong.append(str(error))
    with postgres.connect(params) as connection:
        for path in _named(connection):
            if path not in listed:
                wrong.append(f"{path} is named by a row and not in the backup's list")
    return wrong


def _named(connection: Any) -> Iterator[str]:
    for model in named.kinds():
        query = sql.SQL("SELECT path FROM {} WHERE path <> ''")
        for (path,) in connection.execute(query.format(sql.Identifier(model._meta.db_table))):
            yield path


def put_up(source: Source, params: dict[str, Any], *, say: Say) -> list[str]:
    """Fill the empty store and the empty database, and compare; return what is wrong.

    Broken off, it goes on with what is there already. Raises Refused, Broken, OSError, StoreAway,
    StoreFault.
    """
    source.require_known_version()
    source.require_whole()
    going_on = _require_empty(source, params)
    if not going_on:
        said = json.dumps({"backup": source.name})
        default_storage.save(UNDER_WAY, File(cast(Any, _bytes(said)), name=UNDER_WAY))
    say("The files ...")
    for one in source.files():
        if "not_whole" not in one:
            _put_file(source, one)
    say("The database ...")
    with postgres.connect(params) as connection:
        filled = bool(postgres.tables(connection))
        if filled and _was_compared(source, connection):
            return []
    if not filled:
        source.fill(params)
    return source.differences(params)


def _was_compared(source: Source, connection: Any) -> bool:
    """Tell whether a run before this one found the database as it was copied.

    It may be of a newer version since. No backup holds that somebody restored from it.
    """
    if Restoration._meta.db_table not in postgres.tables(connection):
        return False
    query = sql.SQL("SELECT count(*) FROM {} WHERE backup = %s")
    table = sql.Identifier(Restoration._meta.db_table)
    return bool(connection.execute(query.format(table), [source.name]).fetchone()[0])


def finish() -> None:
    """Mark the store as the office's and take away that it is being filled."""
    store.write_mark()
    default_storage.delete(UNDER_WAY)


def _require_empty(source: Source, params: dict[str, Any]) -> bool:
    """Refuse a place where something is; tell whether it is what this backup has begun there."""
    begun = None
    if default_storage.exists(UNDER_WAY):
        with default_storage.open(UNDER_WAY) as file:
            said = file.read()
        try:
            begun = json.loads(said)["backup"]
        except ValueError:
            raise Refused(
                f"{UNDER_WAY} in the file store can't be read: empty the store."
            ) from None
        if begun != source.name:
            raise Refused(f"The file store holds a part of another backup, {begun}.")
        return True
    if default_storage.exists(lying.MARK) or not lying.is_empty():
        raise Refused("The file store is not empty: an office is restored into an empty place.")
    with postgres.connect(params) as connection:
        may = "SELECT current_user WHERE NOT has_schema_privilege('public', 'CREATE')"
        refused = connection.execute(may).fetchone()
        there = postgres.tables(connection)
    if refused:
        raise Refused(
            f"{refused[0]} may not make tables in this database: run restore with the "
            "DATABASE_URL of who is to own them."
        )
    if there:
        raise Refused(
            f"The database is not empty (it has {len(there)} tables): an office is restored into "
            "an empty place."
        )
    return False


def _put_file(source: Source, one: dict[str, Any]) -> None:
    """Put one file into its place, unless it is there whole."""
    if store.holds(one["path"], one["sha256"]):
        return
    elsewhere = store.office_bucket()
    if elsewhere is not None:
        with tempfile.TemporaryFile() as opened:
            source.open_file(one, opened)
            opened.seek(0)
            _send_file(elsewhere, one, opened)
        return
    there = Path(default_storage.path(one["path"]))
    there.parent.mkdir(parents=True, exist_ok=True)
    part = there.with_name(f"part-{there.name}")
    with part.open("wb") as file:
        source.open_file(one, file)
        file.flush()
        os.fsync(file.fileno())
    part.chmod(0o440)
    part.rename(there)


def _send_file(elsewhere: Bucket, one: dict[str, Any], opened: IO[bytes]) -> None:
    """Put one file into the bucket; what its server keeps is compared. Raises StoreFault."""
    path, sha256 = one["path"], one["sha256"]
    sent = elsewhere.send(path, opened)
    # Where its server told no digest of what it was sent, it is read back.
    kept = sent.sha256 if sent.confirmed else store.digest_of(path)
    if kept != sha256:
        elsewhere.delete(path)
        raise store.StoreFault(f"The file store did not keep {path} as it was sent.")


def _bytes(text: str) -> IO[bytes]:
    return BytesIO(text.encode())


@contextmanager
def scratch() -> Iterator[dict[str, Any]]:
    """Run a PostgreSQL of its own in a temporary folder; yield how to reach it. Raises NoServer."""
    with tempfile.TemporaryDirectory(prefix="office-check-", dir="/tmp") as folder:
        server = embedded.PostgreSQL(Path(folder), lasting=False)
        server.start()
        try:
            parts = urlsplit(embedded.database_url(Path(folder), embedded.OWNER))
            yield {
                "host": dict(parse_qsl(parts.query))["host"],
                "dbname": parts.path.lstrip("/"),
                "user": unquote(parts.username or ""),
                "password": unquote(parts.password or ""),
            }
        finally:
            server.stop()
