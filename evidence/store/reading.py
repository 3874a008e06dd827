"""Stored bytes read again: whole, in pieces, by their digest."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import IO, TYPE_CHECKING, cast

from django.core.files.storage import default_storage

from evidence.store import limits
from evidence.store.faults import StoreFault
from evidence.store.models import StoredFile
from me_office.shell.ranges import Window

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

CHUNK = 1024 * 1024


def in_folder() -> bool:
    """Tell whether the store is a folder of this machine."""
    try:
        default_storage.path("")
    except NotImplementedError:
        return False
    return True


def office_bucket() -> Bucket | None:
    """Return the office's bucket; None where the store is a folder."""
    if in_folder():
        return None
    # The library of buckets takes a process a fifth of a second: one with a folder never loads it.
    from evidence.store.bucket import Bucket

    storage: object = default_storage
    return storage if isinstance(storage, Bucket) else None


def is_away() -> bool:
    """Tell whether the store counts as away in this process; asks nobody."""
    elsewhere = office_bucket()
    return limits.folder_breaker.is_open if elsewhere is None else elsewhere.breaker.is_open


def digest_of(path: str) -> str:
    """Compute the SHA-256 of stored bytes."""
    digest = hashlib.sha256()
    with default_storage.open(path) as file:
        while chunk := file.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


def digest_if_there(path: str) -> str | None:
    """Compute the SHA-256 of stored bytes; None where there are none."""
    try:
        return digest_of(path)
    except FileNotFoundError:
        return None


def can_be_read(path: str) -> bool:
    """Tell whether stored bytes can be read to their end. Raises StoreAway."""
    try:
        digest_of(path)
    except (OSError, StoreFault):
        return False
    return True


def original_chunks(stored: StoredFile) -> Iterator[bytes]:
    """Yield the bytes of a stored file, piece by piece."""
    with default_storage.open(stored.path) as file:
        while chunk := file.read(CHUNK):
            yield chunk


def open_stored(stored: StoredFile) -> IO[bytes]:
    """Open a stored file for reading; the caller closes it."""
    return _opened(stored.path)


def _opened(path: str) -> IO[bytes]:
    """Open stored bytes; who waits for a folder that hangs gives up. Raises StoreAway."""
    file: IO[bytes]
    if in_folder():
        file = limits.within_limit(
            lambda: default_storage.open(path), too_late=lambda it: it.close()
        )
    else:
        file = default_storage.open(path)
    return file


def open_part(path: str, first: int, length: int) -> IO[bytes]:
    """Open a part of stored bytes for reading; the caller closes it.

    Of an S3-compatible bucket only that part is fetched, while it is read.
    """
    elsewhere = office_bucket()
    if elsewhere is not None:
        return elsewhere.part(path, first, length)
    return cast(IO[bytes], Window(_opened(path), first, length))


def is_whole(stored: StoredFile) -> bool:
    """Tell whether the stored bytes still have their digest."""
    return holds(stored.path, stored.sha256)


def holds(path: str, sha256: str) -> bool:
    """Tell whether bytes of this digest are stored under a name."""
    return bool(path) and digest_if_there(path) == sha256


def lend(stored: StoredFile, there: Path) -> int | None:
    """Put a stored file under another name and return its size, or None if it is not whole.

    In a folder it is a second name of the same bytes, which nobody may write; nothing is copied.
    A name that is taken is never written to: it may be that of a stored file. Raises
    FileExistsError.
    """
    digest, size = hashlib.sha256(), 0
    with ExitStack() as stack:
        copy = None
        if not _linked(stored.path, there):
            copy = stack.enter_context(there.open("xb"))
        for chunk in original_chunks(stored):
            digest.update(chunk)
            size += len(chunk)
            if copy is not None:
                copy.write(chunk)
    return size if digest.hexdigest() == stored.sha256 else None


def _linked(path: str, there: Path) -> bool:
    if not in_folder():
        return False
    try:
        os.link(default_storage.path(path), there)
    except FileNotFoundError:
        raise
    except OSError:  # another file system
        return False
    return True
