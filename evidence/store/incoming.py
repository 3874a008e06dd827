"""Bytes that come in: streamed to the temporary place while their digest is computed.

They are read back and compared there. What is not published is removed.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import IO, Any
from uuid import uuid4

from django.core.files.base import File
from django.core.files.storage import default_storage

from evidence.store.lying import INCOMING
from evidence.store.marking import require_own_store
from evidence.store.reading import CHUNK, StoreFault, digest_of

_GIVEN = re.compile(r"[0-9a-f]{32}(_\w+)?")


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
    exif: dict[str, object] | None = None

    def recognized(self, **facts: Any) -> Incoming:
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

    def read(self, size: int = -1) -> bytes:
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

    Raises StoreFault when the bytes read back differ from the bytes received, and WrongStore.
    """
    require_own_store()
    hashed = _Hashed(file)
    path = f"{INCOMING}/{uuid4().hex}"
    try:
        # A storage gives another name only where this one is taken, and no two are the same.
        path = default_storage.save(path, hashed)
        _flush_stored(path)
        sha256 = hashed.digest.hexdigest()
        if digest_of(path) != sha256:
            raise StoreFault("The stored bytes differ from the bytes received.")
        yield Incoming(path, sha256, hashed.seen, name)
    finally:
        default_storage.delete(path)


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


def _flush_stored(path: str) -> None:
    try:
        here = Path(default_storage.path(path))
    except NotImplementedError:
        return
    flush_to_disk(here)


def flush_to_disk(here: Path) -> None:
    """Wait until a file's bytes are on the disk."""
    with here.open("rb") as file:
        os.fsync(file.fileno())
