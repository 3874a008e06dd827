"""Bytes that come in: streamed to the temporary place while their digest is computed.

In a folder they are read back and compared there. A bucket's server is sent the digest of each
request with its bytes, and tells its own of the whole when they get their final name. What is not
published is removed.
"""

from __future__ import annotations

import hashlib
import logging
import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any
from uuid import uuid4

from django.core.files.base import File
from django.core.files.storage import default_storage

from evidence.store.away import StoreAway
from evidence.store.bucket_parts import Begun, can_be_assembled
from evidence.store.faults import StoreFault
from evidence.store.lying import INCOMING
from evidence.store.marking import Whose, require_own_store, whose
from evidence.store.reading import CHUNK, digest_of, office_bucket

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

log = logging.getLogger(__name__)
# No file takes as long to be sent.
PARTS_KEPT = timedelta(days=1)
# Where the office puts what it keeps: the rest of a bucket may be somebody else's.
OWN_FOLDERS = frozenset({INCOMING, "originals", "derived", "packets"})
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
    # The same bytes on this machine, where the store is elsewhere: read here, not fetched again.
    here: IO[bytes] | None = field(default=None, compare=False, repr=False)

    def recognized(self, **facts: Any) -> Incoming:
        """Return the same bytes with what was read from them."""
        return replace(self, **facts)

    @contextmanager
    def opened(self) -> Iterator[IO[bytes]]:
        """Open the bytes for reading."""
        if self.here is not None:
            self.here.seek(0)
            yield self.here
            return
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

    Raises StoreFault when the bytes read back differ from the bytes received, WrongStore and
    StoreAway.
    """
    require_own_store()
    path = f"{INCOMING}/{uuid4().hex}"
    elsewhere = office_bucket()
    with _given_up_at_the_end(path):
        if elsewhere is None:
            yield _in_folder(file, path, name)
        else:
            sent = elsewhere.send(path, file)
            here = file if file.seekable() else None
            yield Incoming(path, sent.sha256, sent.size, name, here=here)


@contextmanager
def receive_pieces(
    pieces: Sequence[tuple[str, int]], joined: IO[bytes], sha256: str, *, name: str
) -> Iterator[Incoming]:
    """Lend bytes that lie in the bucket already, in pieces (name and size of each).

    `joined` holds the same on this machine. The server joins them; only where it can't, because
    one is too small, they are sent again. Raises StoreFault, StoreAway, FileNotFoundError.
    """
    require_own_store()
    elsewhere, size = office_bucket(), sum(size for _, size in pieces)
    if elsewhere is not None and len(pieces) == 1:
        # To publish is to copy: nobody can write into what is made of it.
        yield Incoming(pieces[0][0], sha256, size, name, here=joined)
        return
    path = f"{INCOMING}/{uuid4().hex}"
    if elsewhere is not None and _assembled(elsewhere, pieces, path):
        with _given_up_at_the_end(path):
            yield Incoming(path, sha256, size, name, here=joined)
        return
    joined.seek(0)
    with receive(joined, name=name) as incoming:
        yield incoming


def _assembled(elsewhere: Bucket, pieces: Sequence[tuple[str, int]], path: str) -> bool:
    if not can_be_assembled([size for _, size in pieces]):
        return False
    try:
        elsewhere.assemble(list(pieces), path)
    except StoreFault:  # a server that joins only larger ones, or none
        return False
    return True


@contextmanager
def _given_up_at_the_end(path: str) -> Iterator[None]:
    try:
        yield
    except StoreAway:
        raise  # asked for nothing more now; the clearing of forgotten files removes it
    except BaseException:
        with suppress(StoreAway):
            default_storage.delete(path)
        raise
    with suppress(StoreAway):
        default_storage.delete(path)


def _in_folder(file: IO[bytes], path: str, name: str) -> Incoming:
    hashed = _Hashed(file)
    # No two are the same, so that the name given is the one asked for.
    default_storage.save(path, hashed)
    flush_to_disk(Path(default_storage.path(path)))
    sha256 = hashed.digest.hexdigest()
    if digest_of(path) != sha256:
        raise StoreFault("The stored bytes differ from the bytes received.")
    return Incoming(path, sha256, hashed.seen, name)


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


def take_back_forgotten_parts(*, now: datetime) -> int:
    """Let a bucket's server forget the office's uploads in parts that nobody finished.

    Their parts are in no list of objects, and are kept and paid for without an end. Only in a store
    that carries the office's mark, and under names that the office gives. Returns how many.
    """
    elsewhere = office_bucket()
    if elsewhere is None or whose() is not Whose.OURS:
        return 0
    left = [one for one in elsewhere.begun_in_parts() if _is_forgotten(one, now)]
    taken_back = sum(elsewhere.take_back(one) for one in left)
    if taken_back:
        log.warning("%s unfinished uploads in parts were taken back in the bucket", taken_back)
    return taken_back


def _is_forgotten(begun: Begun, now: datetime) -> bool:
    return begun.begun_at < now - PARTS_KEPT and begun.name.split("/")[0] in OWN_FOLDERS


def flush_to_disk(here: Path) -> None:
    """Wait until a file's bytes are on the disk."""
    with here.open("rb") as file:
        os.fsync(file.fileno())
