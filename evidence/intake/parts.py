"""The temporary place of unfinished files: each connection writes a file of its own.

Two connections may send the same file at the same time, and one that was taken over may go on
writing: what it writes reaches nothing that anybody else has written or will publish. What came
is joined into a new file, which is the one that is published.

Bytes are digested while they come; what came is noted every few megabytes, so that a server
that dies loses no more than that.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, cast
from uuid import UUID

from django.core.files.storage import default_storage

from evidence import store
from evidence.intake.models import PhotographUpload
from evidence.store import CHUNK, INCOMING, Incoming, StoreFault

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

_NAME = re.compile(r"upload-([0-9a-f]{32})")
NOTED_EVERY = 8 * 1024 * 1024
# Told that the bytes from an offset on, so many, with this SHA-256, are safe. False: somebody
# else writes now.
Note = Callable[[int, int, str], bool]


class Overtaken(Exception):
    """A later connection took the file over; this one stops."""


def keeper() -> Keeper:
    """Return how the office's storage keeps unfinished files."""
    return InFolder() if store.in_folder() else InPieces()


def lying_about() -> list[UUID]:
    """Return the keys of all uploads of which something lies in the temporary place."""
    try:
        folders, files = default_storage.listdir(INCOMING)
    except FileNotFoundError:
        return []
    return [UUID(found[1]) for name in (*folders, *files) if (found := _NAME.fullmatch(name))]


class Keeper:
    """What both kinds of storage share: a folder an upload, in it the runs that were written."""

    def write(
        self, key: UUID, offset: int, blocks: Iterable[bytes], note: Note, *, claim: UUID
    ) -> None:
        """Keep a run of bytes from `offset` on, for one connection. Raises Overtaken."""
        raise NotImplementedError

    @contextmanager
    def gathered(self, upload: PhotographUpload) -> Iterator[Incoming]:
        """Join what was noted into a new file, compare, and lend that. Raises StoreFault."""
        with store.receive(cast(Any, _Joined(upload)), name=upload.name) as whole:
            _compare(upload, whole.sha256)
            yield whole

    def remove(self, key: UUID) -> None:
        """Remove what is left of an upload."""
        folder = _folder(key)
        try:
            names = default_storage.listdir(folder)[1]
        except FileNotFoundError:
            return
        except NotADirectoryError:  # begun when an upload was one growing file
            names = []
        for name in names:
            default_storage.delete(f"{folder}/{name}")
        # A connection that does not know yet may begin another file; the next clearing sees it.
        with suppress(OSError):
            default_storage.delete(folder)


class InFolder(Keeper):
    """A file a connection."""

    def write(
        self, key: UUID, offset: int, blocks: Iterable[bytes], note: Note, *, claim: UUID
    ) -> None:
        """Keep a run of bytes from `offset` on, for one connection. Raises Overtaken."""
        store.require_own_store()
        path = Path(default_storage.path(run_path(key, offset, claim.hex)))
        path.parent.mkdir(parents=True, exist_ok=True)
        # Never a file that somebody else has begun.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o640)
        digest, length, noted = hashlib.sha256(), 0, 0
        with os.fdopen(handle, "wb", buffering=0) as file, ThreadPoolExecutor(1) as helper:
            hashing: Future[None] | None = None
            try:
                for block in blocks:
                    _write_all(file, block)
                    length += len(block)
                    # A helper digests what was written while this thread goes on; never more
                    # than one block behind, so that memory holds two and not the file.
                    if hashing is not None:
                        hashing.result()
                    hashing = helper.submit(digest.update, block)
                    if length - noted >= NOTED_EVERY:
                        hashing.result()
                        noted = length
                        os.fsync(file.fileno())
                        _note(note, offset, length, digest)
            finally:
                os.fsync(file.fileno())
                if hashing is not None:
                    hashing.result()
                if length > noted:
                    _note(note, offset, length, digest)


class InPieces(Keeper):
    """An object every few megabytes, for a storage that cannot append (S3-compatible)."""

    def write(
        self, key: UUID, offset: int, blocks: Iterable[bytes], note: Note, *, claim: UUID
    ) -> None:
        """Keep a run of bytes from `offset` on, piece by piece. Raises Overtaken."""
        store.require_own_store()
        path = run_path(key, offset, claim.hex)
        with tempfile.TemporaryFile() as piece:
            length = 0
            try:
                for block in blocks:
                    piece.write(block)
                    length += len(block)
                    if length >= NOTED_EVERY:
                        self._keep(path, offset, piece, note)
                        offset, length = offset + length, 0
                        path = run_path(key, offset, claim.hex)
            except (Overtaken, store.StoreAway):
                raise
            except BaseException:  # what came before it is kept
                if length:
                    self._keep(path, offset, piece, note)
                raise
            if length:
                self._keep(path, offset, piece, note)

    def _keep(self, path: str, offset: int, piece: IO[bytes], note: Note) -> None:
        length = piece.tell()
        piece.seek(0)
        digest = _elsewhere().send(path, piece).sha256
        if not note(offset, length, digest):
            raise Overtaken
        piece.seek(0)
        piece.truncate()

    @contextmanager
    def gathered(self, upload: PhotographUpload) -> Iterator[Incoming]:
        """Fetch what was noted once, compare, and lend it; the server joins it itself."""
        digest = hashlib.sha256()
        with tempfile.TemporaryFile() as whole:
            for block in _Joined.blocks_of(upload):
                digest.update(block)
                whole.write(block)
            sha256 = digest.hexdigest()
            _compare(upload, sha256)
            with store.receive_pieces(
                _runs(upload), cast(IO[bytes], whole), sha256, name=upload.name
            ) as incoming:
                yield incoming


def _elsewhere() -> Bucket:
    there = store.office_bucket()
    if there is None:
        raise TypeError("Files in pieces are of a bucket.")
    return there


def _compare(upload: PhotographUpload, sha256: str) -> None:
    runs = upload.pieces
    if len(runs) == 1 and sha256 != runs[0][1]:
        raise StoreFault("The stored bytes differ from the bytes received.")
    if upload.stated_sha256 and upload.stated_sha256 != sha256:
        raise StoreFault("The bytes received differ from the sender's file.")


def _runs(upload: PhotographUpload) -> list[tuple[str, int]]:
    """Return the name and size of each run."""
    runs, offset = [], 0
    for length, _, claim in upload.pieces:
        runs.append((run_path(upload.pk, offset, claim), length))
        offset += length
    return runs


def _folder(key: UUID) -> str:
    return f"{INCOMING}/upload-{key.hex}"


def run_path(key: UUID, offset: int, claim: str) -> str:
    """Return where the run lies that one connection wrote from an offset on."""
    return f"{_folder(key)}/{offset:015}-{claim}"


class _Joined:
    """The noted runs of an upload as one file, read once. Raises StoreFault where one differs.

    Only what was noted: a connection that was taken over, or a server that died, may have left
    more.
    """

    def __init__(self, upload: PhotographUpload) -> None:
        self.blocks = self.blocks_of(upload)
        self.left = b""

    def read(self, size: int = -1) -> bytes:
        while size < 0 or len(self.left) < size:
            block = next(self.blocks, b"")
            if not block:
                break
            self.left += block
        size = len(self.left) if size < 0 else size
        given, self.left = self.left[:size], self.left[size:]
        return given

    @staticmethod
    def blocks_of(upload: PhotographUpload) -> Iterator[bytes]:
        """Yield the bytes, each run compared with its digest."""
        offset, several = 0, len(upload.pieces) > 1
        for run in upload.pieces:
            if len(run) < 3:
                raise StoreFault("This upload was started before the service was updated.")
            length, said, claim = run
            digest, left = hashlib.sha256(), length
            with default_storage.open(run_path(upload.pk, offset, claim)) as file:
                while left and (block := file.read(min(CHUNK, left))):
                    left -= len(block)
                    if several:  # one alone is the whole, which is digested anyway
                        digest.update(block)
                    yield block
            if left or (several and digest.hexdigest() != said):
                raise StoreFault("The stored bytes differ from the bytes received.")
            offset += length


def _write_all(file: Any, block: bytes) -> None:
    view = memoryview(block)
    while view:
        view = view[file.write(view) :]


def _note(note: Note, offset: int, length: int, digest: Any) -> None:
    if not note(offset, length, digest.copy().hexdigest()):
        raise Overtaken
