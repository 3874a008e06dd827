"""Moving the store: from a folder to a bucket, back, or to another of either.

Files are only ever added, each under a name of its own, so that most of it is copied while people
work. A file has its final name in the new store only when it was compared on both sides: whoever
is killed and begins again goes on where he was.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.core.files.base import File
from django.core.files.storage import Storage
from django.db import connection

from evidence.store import named
from evidence.store.away import StoreAway
from evidence.store.bucket import Bucket
from evidence.store.faults import StoreFault
from evidence.store.incoming import flush_to_disk
from evidence.store.lying import INCOMING, MARK
from evidence.store.marking import LONGEST, office_id, own_mark
from evidence.store.publishing import link
from evidence.store.reading import CHUNK

# In the mark of a store that is being filled or was left: nobody writes to it as to the office's.
_FILLED, _LEFT = "being filled", "left for another"


class CannotMove(Exception):
    """The move can't go on; the message says why, and what to do."""


class Copied(StrEnum):
    """What became of one file."""

    THERE = "there already"
    COPIED = "copied"
    MISSING = "missing in the old store"
    ALTERED = "altered in the old store"
    OTHER = "another file in the new store"


@dataclass
class Count:
    """How many files came out how, and those that need a person."""

    files: int = 0
    copied: int = 0
    size_bytes: int = 0
    wrong: list[str] = field(default_factory=list)


def copy_all(old: Storage, new: Storage) -> Iterator[Count]:
    """Copy what rows name and the new store lacks; yield after each file how far it is.

    Raises CannotMove, StoreAway.
    """
    _begin(new)
    count = Count()
    for row in _named():
        came = _copy(old, new, row)
        count.files += 1
        count.size_bytes += row.size_bytes
        count.copied += came is Copied.COPIED
        if came not in {Copied.THERE, Copied.COPIED}:
            count.wrong.append(f"{row.path}: {came}")
        yield count


def copy_unfinished(old: Storage, new: Storage) -> int:
    """Copy what has come of files that are still on their way; return how many pieces.

    No row has their digest: each is compared when its file is whole. Once nothing is written to
    the old store any more.
    """
    count = 0
    for folder in _listed(old, INCOMING)[0]:
        for name in _listed(old, f"{INCOMING}/{folder}")[1] if folder.startswith("upload-") else ():
            path = f"{INCOMING}/{folder}/{name}"
            with suppress(FileNotFoundError):
                if new.size(path) == old.size(path):
                    continue
                new.delete(path)
            with old.open(path) as file:
                _received(new, file, path)
            count += 1
    return count


def _listed(storage: Storage, folder: str) -> tuple[list[str], list[str]]:
    try:
        return storage.listdir(folder)
    except FileNotFoundError:
        return [], []


def check_all(storage: Storage) -> Iterator[Count]:
    """Read what rows name in a store and compare its digest; yield after each file."""
    count = Count()
    for row in _named():
        count.files += 1
        count.size_bytes += row.size_bytes
        if _digest_in(storage, row.path) != row.sha256:
            count.wrong.append(f"{row.path}: missing or altered")
        yield count


def switch(old: Storage, new: Storage) -> None:
    """Give the office's mark to the new store and take it from the old one.

    From then on no process writes to the old one, also one that was forgotten. The new one first:
    whoever is killed in between has two, and not none.
    """
    _mark(new, own_mark())
    _mark(old, {"office": "", "was": str(office_id()), "what": _LEFT})


def delete_left(left: Storage) -> Iterator[str]:
    """Delete from a store that was left what rows name; yield each name. Raises CannotMove."""
    said = _mark_of(left)
    if (said.get("was"), said.get("what")) != (str(office_id()), _LEFT):
        raise CannotMove("That store was not left by this office: nothing is deleted.")
    for row in _named():
        with suppress(FileNotFoundError):
            left.size(row.path)
            left.delete(row.path)
            yield row.path


def are_the_same(one: Storage, other: Storage) -> bool:
    """Tell whether two storages are one place."""
    return _place(one) == _place(other)


def _place(storage: Storage) -> tuple[str, ...]:
    if isinstance(storage, Bucket):
        return str(storage.endpoint_url), storage.bucket_name, storage.location
    return (str(Path(storage.path(".")).resolve()),)


def others_connected() -> int:
    """Return how many other connections there are to the office's database."""
    with connection.cursor() as cursor:
        cursor.execute(
            # Of other roles no more than that can be seen.
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid() AND usename IS NOT NULL"
        )
        found: int = cursor.fetchone()[0]
    return found


def _named() -> Iterator[Any]:
    for model in named.kinds():
        rows = named.naming(model).order_by("pk").only("pk", *named.COLUMNS)
        yield from rows.iterator(chunk_size=500)


def _begin(new: Storage) -> None:
    said = _mark_of(new)
    if str(office_id()) in {said.get("office"), said.get("was")}:
        return
    if said:
        raise CannotMove("The new store is another office's. Name an empty one.")
    with suppress(FileNotFoundError):
        if any(new.listdir("")):
            raise CannotMove("The new store holds files of somebody else. Name an empty one.")
    _mark(new, {"office": "", "was": str(office_id()), "what": _FILLED})


def _mark_of(storage: Storage) -> dict[str, Any]:
    try:
        with storage.open(MARK) as file:
            said = json.loads(file.read(LONGEST))
    except FileNotFoundError:
        return {}
    except ValueError:
        return {"office": "unreadable"}
    return said if isinstance(said, dict) else {"office": "unreadable"}


def _mark(storage: Storage, said: dict[str, str]) -> None:
    content = json.dumps(said).encode()
    if isinstance(storage, Bucket):
        storage.send(MARK, io.BytesIO(content))
        return
    there = Path(storage.path(MARK))
    there.parent.mkdir(parents=True, exist_ok=True)
    fresh = there.with_name(f"{MARK}-{uuid4().hex}")
    fresh.write_bytes(content)
    flush_to_disk(fresh)
    fresh.replace(there)  # whole or not at all: a store is never without a mark


def _copy(old: Storage, new: Storage, row: Any) -> Copied:
    with suppress(FileNotFoundError):
        return Copied.THERE if new.size(row.path) == row.size_bytes else Copied.OTHER
    path = f"{INCOMING}/{uuid4().hex}"
    try:
        with old.open(row.path) as file:
            sha256 = _received(new, file, path)
        if sha256 != row.sha256:
            return Copied.ALTERED
        _named_in(new, path, row)
    except FileNotFoundError:
        return Copied.MISSING
    finally:
        with suppress(FileNotFoundError, StoreAway):
            new.delete(path)
    return Copied.COPIED


def _received(new: Storage, file: File[bytes], path: str) -> str:
    if isinstance(new, Bucket):
        return new.send(path, file).sha256
    here, digest = Path(new.path(path)), hashlib.sha256()
    here.parent.mkdir(parents=True, exist_ok=True)
    with here.open("xb") as copy:
        while piece := file.read(CHUNK):
            digest.update(piece)
            copy.write(piece)
    flush_to_disk(here)
    return digest.hexdigest()


def _named_in(new: Storage, path: str, row: Any) -> None:
    told = None
    if isinstance(new, Bucket):
        told = new.copy(path, row.path, size=row.size_bytes) or new.digest_kept(row.path)
    else:
        with suppress(FileExistsError):  # another run of this has just copied it
            link(Path(new.path(path)), Path(new.path(row.path)))
    if (told or _digest_in(new, row.path)) != row.sha256:
        new.delete(row.path)
        raise StoreFault(f"{row.path} did not come into the new store as it was sent.")


def _digest_in(storage: Storage, path: str) -> str:
    digest = hashlib.sha256()
    try:
        with storage.open(path) as file:
            while piece := file.read(CHUNK):
                digest.update(piece)
    except FileNotFoundError:
        return ""
    return digest.hexdigest()
