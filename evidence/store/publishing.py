"""Bytes get their row and their final name: once by SHA-256, in the last step, never overwritten.

Only a file that `receive` itself has written is ever published: nobody else has had it open, so
nobody can still write into it. In a folder it is read back from its final name. In a bucket the
server copies it there and tells the SHA-256 of what it keeps; where it tells none (an older server,
or more than 5 GB, which are copied in parts) it is read back once.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from django.core.files.storage import default_storage

from evidence.store.faults import StoreFault
from evidence.store.incoming import Incoming, flush_to_disk
from evidence.store.marking import require_own_store
from evidence.store.models import StoredFile
from evidence.store.reading import digest_of, office_bucket

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

ORIGINALS = "originals"
DERIVED = "derived"


class Damaged(StoreFault):
    """These bytes are kept already, and what is kept is not whole: what came now is needed."""


@dataclass(frozen=True)
class Registered:
    """The row of incoming bytes, and whether it was made just now."""

    stored: StoredFile
    made: bool


def register(incoming: Incoming, *, folder: str = ORIGINALS) -> Registered:
    """Return the row of the bytes, made where there is none; `move_into_place` has to follow."""
    stored, made = StoredFile.objects.get_or_create(
        sha256=incoming.sha256,
        defaults={
            "size_bytes": incoming.size_bytes,
            "media_type": incoming.media_type,
            "path": f"{folder}/{incoming.sha256[:2]}/{incoming.sha256}",
        },
    )
    return Registered(stored, made)


def move_into_place(incoming: Incoming, registered: Registered) -> None:
    """Give the bytes their final name; the same bytes are kept once.

    What stands there already is read: it may have been altered since, and then the bytes that
    came now are not given up for it. Raises Damaged.

    Call it inside an action, as the last step: before it nothing of the file can be seen, and
    whatever is refused after it would leave a file without a row.
    """
    elsewhere = office_bucket()
    if elsewhere is not None:
        _copy(elsewhere, incoming, registered.stored.path)
    else:
        _move(incoming.path, registered.stored.path, sha256=incoming.sha256)


@contextmanager
def kept(incoming: Incoming, *, folder: str = ORIGINALS) -> Iterator[StoredFile]:
    """Lend the row of the bytes to the block that records it, then give them their final name.

    The block is the end of an action (see `move_into_place`); where it refuses, nothing is kept.
    """
    registered = register(incoming, folder=folder)
    yield registered.stored
    move_into_place(incoming, registered)


def publish(incoming: Incoming, *, folder: str = ORIGINALS) -> StoredFile:
    """Give the bytes their row and their final name, where nothing that may fail follows."""
    with kept(incoming, folder=folder) as stored:
        return stored


def publish_made(made: Path, target: str) -> tuple[str, str]:
    """Give a finished file a final name of its own; return that, and the digest of what is there.

    The file stands in the store's own folder, and nobody has it open any more. A part of it never
    has the final name. It is read back, unless a bucket's server computed the same digest. Raises
    WrongStore, StoreAway.
    """
    require_own_store()
    elsewhere = office_bucket()
    if elsewhere is not None:
        given = elsewhere.get_available_name(target)
        with made.open("rb") as file:
            sent = elsewhere.send(given, file)
        return given, sent.sha256 if sent.confirmed else digest_of(given)
    there = Path(default_storage.path(target))
    flush_to_disk(made)
    link(made, there)
    return target, digest_of(target)


def _move(source: str, target: str, *, sha256: str) -> None:
    here, there = Path(default_storage.path(source)), Path(default_storage.path(target))
    try:
        link(here, there)
    except FileExistsError:
        _require_undamaged(target, sha256)
        return
    try:
        _require_digest(target, sha256)
    except StoreFault:
        there.unlink()  # given just now, and nobody can have seen it
        raise


def link(here: Path, there: Path) -> None:
    """Give a file a second name that nobody may write. Raises FileExistsError."""
    there.parent.mkdir(parents=True, exist_ok=True)
    here.chmod(0o440)
    # A link fails where a name is taken, a rename would overwrite.
    os.link(here, there)
    _flush_folder(there.parent)


def _copy(elsewhere: Bucket, incoming: Incoming, target: str) -> None:
    """Publish in a bucket: the server copies, and what it keeps is compared."""
    if elsewhere.exists(target):
        _require_undamaged(target, incoming.sha256)
        return
    told = elsewhere.copy(incoming.path, target, size=incoming.size_bytes)
    told = told or elsewhere.digest_kept(target)
    if told is None:
        _require_digest(target, incoming.sha256)
    elif told != incoming.sha256:
        elsewhere.delete(target)  # given just now, and nobody can have seen it
        raise _differs(target)


def _require_digest(path: str, sha256: str) -> None:
    if digest_of(path) != sha256:
        raise _differs(path)


def _differs(path: str) -> StoreFault:
    return StoreFault(f"The file stored as {path} does not have that digest.")


def _require_undamaged(path: str, sha256: str) -> None:
    if digest_of(path) != sha256:
        raise Damaged(
            "The office already has this file, but its copy is damaged. Keep your "
            "own copy, and tell an administrator: the stored file has to be restored first."
        )


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
