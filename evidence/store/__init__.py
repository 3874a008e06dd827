"""Where bytes are kept: once by SHA-256, published in the last step, never overwritten.

A file comes in through `receive` into a temporary place of the default storage while its digest
is computed, is read back and compared, and is given its final name by `publish`, from which it
is read back once more. What is not published is removed.

Only a file that `receive` itself has written is ever published: nobody else has had it open, so
nobody can still write into it.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import IO, Any, cast
from uuid import uuid4

from django.core.files.base import File
from django.core.files.storage import default_storage

from evidence.store.models import StoredFile
from me_office.shell.ranges import Window

CHUNK = 1024 * 1024
ORIGINALS = "originals"
DERIVED = "derived"
INCOMING = "incoming"
_GIVEN = re.compile(r"[0-9a-f]{32}(_\w+)?")


class StoreFault(Exception):
    """The store does not hold what it should; never the person's mistake."""


class Damaged(StoreFault):
    """These bytes are kept already, and what is kept is not whole: what came now is needed."""


@dataclass(frozen=True)
class Incoming:
    """Bytes that are in the temporary place, with what is known of them."""

    path: str
    sha256: str
    size_bytes: int
    name: str
    media_type: str = ""
    width_px: int = 0
    height_px: int = 0
    exif: dict[str, Any] | None = None

    def recognised(self, **facts: Any) -> Incoming:
        """Return the same bytes with what was read from them."""
        return replace(self, **facts)

    @contextmanager
    def opened(self) -> Iterator[IO[bytes]]:
        """Open the bytes for reading."""
        with default_storage.open(self.path) as file:
            yield file


class _Hashed(File):  # type: ignore[type-arg]
    """A file whose digest is computed while somebody reads it, by chunks or by `read`."""

    def __init__(self, file: IO[bytes]) -> None:
        super().__init__(file)
        self.given = file
        self.digest = hashlib.sha256()
        self.seen = 0

    def read(self, size: int = -1) -> bytes:  # type: ignore[override]
        """Return the next bytes, once; there is no way back to them."""
        piece = self.given.read(size)
        self.digest.update(piece)
        self.seen += len(piece)
        return piece

    def seekable(self) -> bool:
        """Tell those who would read twice that they can't."""
        return False

    def seek(self, *place: Any) -> int:
        """Stay: a storage may ask for the beginning, where this stands."""
        if self.seen:
            raise OSError("A file that is digested as it comes is read once.")
        return 0

    def chunks(self, chunk_size: int | None = None) -> Iterator[bytes]:
        """Yield the bytes once, from where the file stands."""
        while chunk := self.read(CHUNK):
            yield chunk


@contextmanager
def receive(file: IO[bytes], *, name: str) -> Iterator[Incoming]:
    """Stream a file into the temporary place; it is gone at the end unless it was published.

    Raises StoreFault when the bytes read back differ from the bytes that came.
    """
    hashed = _Hashed(file)
    path = f"{INCOMING}/{uuid4().hex}"
    try:
        # A storage gives another name only where this one is taken, and no two are the same.
        path = default_storage.save(path, hashed)
        _flush_to_disk(path)
        sha256 = hashed.digest.hexdigest()
        if digest_of(path) != sha256:
            raise StoreFault("The stored bytes differ from the bytes received.")
        yield Incoming(path, sha256, hashed.seen, name)
    finally:
        default_storage.delete(path)


def in_folder() -> bool:
    """Tell whether the store is a folder of this machine."""
    try:
        default_storage.path(INCOMING)
    except NotImplementedError:
        return False
    return True


@dataclass(frozen=True)
class Entered:
    """The row of incoming bytes, and whether it was made just now."""

    stored: StoredFile
    made: bool


def enter(incoming: Incoming, *, folder: str = ORIGINALS) -> Entered:
    """Return the row of the bytes, made where there is none; `put_in_place` has to follow."""
    stored, made = StoredFile.objects.get_or_create(
        sha256=incoming.sha256,
        defaults={
            "size_bytes": incoming.size_bytes,
            "media_type": incoming.media_type,
            "path": f"{folder}/{incoming.sha256[:2]}/{incoming.sha256}",
        },
    )
    return Entered(stored, made)


def put_in_place(incoming: Incoming, entered: Entered) -> None:
    """Give the bytes their final name; the same bytes are kept once.

    What stands there already is read: it may have been altered since, and then the bytes that
    came now are not given up for it. Raises Damaged.

    Call it inside an action, as the last step: before it nothing of the file can be seen, and
    whatever is refused after it would leave a file without a row.
    """
    _move(incoming.path, entered.stored.path, sha256=incoming.sha256)


def publish(incoming: Incoming, *, folder: str = ORIGINALS) -> StoredFile:
    """Give the bytes their row and their final name, where nothing that may fail follows."""
    entered = enter(incoming, folder=folder)
    put_in_place(incoming, entered)
    return entered.stored


def _move(source: str, target: str, *, sha256: str) -> None:
    try:
        here, there = Path(default_storage.path(source)), Path(default_storage.path(target))
    except NotImplementedError:
        _copy(source, target, sha256=sha256)
        return
    there.parent.mkdir(parents=True, exist_ok=True)
    here.chmod(0o440)
    try:
        # A link fails where a name is taken, a rename would overwrite.
        os.link(here, there)
    except FileExistsError:
        _require_undamaged(target, sha256)
        return
    _flush_folder(there.parent)
    try:
        _require_digest(target, sha256)
    except StoreFault:
        there.unlink()  # given just now, and nobody can have seen it
        raise


def _copy(source: str, target: str, *, sha256: str) -> None:
    """Publish on a storage that has no folders (S3-compatible): copy, then compare."""
    if default_storage.exists(target):
        _require_undamaged(target, sha256)
        return
    with default_storage.open(source) as file:
        given = default_storage.save(target, file)
    if given != target:  # somebody published the same bytes in between
        default_storage.delete(given)
    _require_digest(target, sha256)


def _require_digest(path: str, sha256: str) -> None:
    if digest_of(path) != sha256:
        raise StoreFault(f"The file stored as {path} does not have that digest.")


def _require_undamaged(path: str, sha256: str) -> None:
    if digest_of(path) != sha256:
        raise Damaged(
            "The office already has this file, but its copy is damaged. Keep your "
            "own copy, and tell an administrator: the stored file has to be restored first."
        )


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


def original_chunks(stored: StoredFile) -> Iterator[bytes]:
    """Yield the bytes of a stored file, piece by piece."""
    with default_storage.open(stored.path) as file:
        while chunk := file.read(CHUNK):
            yield chunk


def open_stored(stored: StoredFile) -> IO[bytes]:
    """Open a stored file for reading; the caller closes it."""
    file: IO[bytes] = default_storage.open(stored.path)
    return file


def open_part(path: str, first: int, length: int) -> IO[bytes]:
    """Open a part of stored bytes for reading; the caller closes it.

    Of an S3-compatible bucket only that part is fetched, while it is read.
    """
    if in_folder():
        return cast(IO[bytes], Window(default_storage.open(path), first, length))
    storage: Any = default_storage
    if not length:
        return io.BytesIO()
    there = storage.bucket.Object(storage._normalize_name(path))
    body: IO[bytes] = there.get(Range=f"bytes={first}-{first + length - 1}")["Body"]
    return body


def is_whole(stored: StoredFile) -> bool:
    """Tell whether the stored bytes still have their digest."""
    return default_storage.exists(stored.path) and digest_of(stored.path) == stored.sha256


def lend(stored: StoredFile, there: Path) -> int | None:
    """Put a stored file under another name and return its size, or None if it is not whole.

    In a folder it is a second name of the same bytes, which nobody may write; nothing is copied.
    """
    digest, size = hashlib.sha256(), 0
    with ExitStack() as stack:
        copy = None
        if not _linked(stored.path, there):
            copy = stack.enter_context(there.open("wb"))
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


def remove_forgotten(*, older_than: datetime) -> int:
    """Remove what processes that died left in the temporary place; return how many.

    Only names that `receive` gives: other parts of the office keep theirs in order themselves.
    """
    try:
        names = default_storage.listdir(INCOMING)[1]
    except FileNotFoundError:
        return 0
    removed = 0
    for name in sorted(names):
        path = f"{INCOMING}/{name}"
        if _GIVEN.fullmatch(name) and default_storage.get_modified_time(path) < older_than:
            default_storage.delete(path)
            removed += 1
    return removed


def _flush_to_disk(path: str) -> None:
    try:
        here = Path(default_storage.path(path))
    except NotImplementedError:
        return
    with here.open("rb") as file:
        os.fsync(file.fileno())


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
