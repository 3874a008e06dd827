"""The temporary place of unfinished files: in one file where there are folders, else in pieces.

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
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, cast
from uuid import UUID

from django.core.files.base import File
from django.core.files.storage import default_storage

from evidence import store
from evidence.store import CHUNK, INCOMING, Incoming, StoreFault
from evidence.upload_models import PhotographUpload

_NAME = re.compile(r"upload-([0-9a-f]{32})")
NOTED_EVERY = 8 * 1024 * 1024
# Told that the bytes from an offset on, so many, with this SHA-256, are safe. False: somebody
# else writes now.
Note = Callable[[int, int, str], bool]


class Overtaken(Exception):
    """A later connection took the file over; this one stops."""


def keeper() -> InFolder | InPieces:
    """Return how the office's storage keeps unfinished files."""
    return InFolder() if store.in_folder() else InPieces()


def lying_about() -> list[UUID]:
    """Return the keys of all uploads of which something lies in the temporary place."""
    try:
        folders, files = default_storage.listdir(INCOMING)
    except FileNotFoundError:
        return []
    return [UUID(found[1]) for name in (*folders, *files) if (found := _NAME.fullmatch(name))]


class InFolder:
    """One growing file, which is linked to its final name when it is whole."""

    @staticmethod
    def _path(key: UUID) -> str:
        return f"{INCOMING}/upload-{key.hex}"

    def write(self, key: UUID, offset: int, blocks: Iterable[bytes], note: Note) -> None:
        """Write a run of bytes from `offset` on. Raises Overtaken."""
        path = Path(default_storage.path(self._path(key)))
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o640)
        digest, length, noted = hashlib.sha256(), 0, 0
        with os.fdopen(handle, "r+b", buffering=0) as file, ThreadPoolExecutor(1) as helper:
            file.truncate(offset)  # what a dead server wrote and did not note comes again
            file.seek(offset)
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
                        _note(note, offset, length, digest)
            finally:
                os.fsync(file.fileno())
                if hashing is not None:
                    hashing.result()
                if length > noted:
                    _note(note, offset, length, digest)

    @contextmanager
    def gathered(self, upload: PhotographUpload) -> Iterator[Incoming]:
        """Read the whole file back, compare, and lend it. Raises StoreFault."""
        path = self._path(upload.pk)
        with default_storage.open(path) as file:
            sha256 = _compare(_runs(file, upload), upload)
        yield Incoming(path, sha256, upload.size_bytes, upload.name)

    def remove(self, key: UUID) -> None:
        """Remove what is left of an upload."""
        default_storage.delete(self._path(key))


class InPieces:
    """An object a piece, for a storage that cannot append (S3-compatible)."""

    @staticmethod
    def _folder(key: UUID) -> str:
        return f"{INCOMING}/upload-{key.hex}"

    def write(self, key: UUID, offset: int, blocks: Iterable[bytes], note: Note) -> None:
        """Keep a run of bytes from `offset` on, piece by piece. Raises Overtaken."""
        with tempfile.TemporaryFile() as piece:
            length = 0
            try:
                for block in blocks:
                    piece.write(block)
                    length += len(block)
                    if length >= NOTED_EVERY:
                        self._keep(key, offset, piece, note)
                        offset, length = offset + length, 0
            finally:
                if length:
                    self._keep(key, offset, piece, note)

    def _keep(self, key: UUID, offset: int, piece: IO[bytes], note: Note) -> None:
        piece.seek(0)
        digest = hashlib.file_digest(cast(Any, piece), "sha256")
        length = piece.tell()
        path = f"{self._folder(key)}/{offset:015}"
        default_storage.delete(path)  # left by a server that died before it noted it
        piece.seek(0)
        default_storage.save(path, File(piece, name=path))
        _note(note, offset, length, digest)
        piece.seek(0)
        piece.truncate()

    @contextmanager
    def gathered(self, upload: PhotographUpload) -> Iterator[Incoming]:
        """Join the pieces, compare, and lend the whole. Raises StoreFault."""
        with tempfile.TemporaryFile() as whole:
            for path in self._noted(upload):
                with default_storage.open(path) as piece:
                    while block := piece.read(CHUNK):
                        whole.write(block)
            whole.seek(0)
            sha256 = _compare(_runs(whole, upload), upload)
            whole.seek(0)
            with store.receive(whole, name=upload.name) as incoming:
                if incoming.sha256 != sha256:
                    raise StoreFault("The joined bytes differ from the pieces.")
                yield incoming

    def _noted(self, upload: PhotographUpload) -> Iterator[str]:
        # Not what lies there: a server that died may have left a piece that was never noted.
        offset = 0
        for length, _ in upload.pieces:
            yield f"{self._folder(upload.pk)}/{offset:015}"
            offset += length

    def remove(self, key: UUID) -> None:
        """Remove what is left of an upload."""
        for name in default_storage.listdir(self._folder(key))[1]:
            default_storage.delete(f"{self._folder(key)}/{name}")


def _write_all(file: Any, block: bytes) -> None:
    view = memoryview(block)
    while view:
        view = view[file.write(view) :]


def _note(note: Note, offset: int, length: int, digest: Any) -> None:
    if not note(offset, length, digest.copy().hexdigest()):
        raise Overtaken


def _runs(file: IO[bytes], upload: PhotographUpload) -> Iterator[tuple[list[Any], Iterator[bytes]]]:
    """Yield each noted run with its bytes as they are stored."""
    for run in upload.pieces:
        yield run, _blocks(file, run[0])


def _blocks(file: IO[bytes], length: int) -> Iterator[bytes]:
    while length and (block := file.read(min(CHUNK, length))):
        length -= len(block)
        yield block


def _compare(runs: Iterator[tuple[list[Any], Iterator[bytes]]], upload: PhotographUpload) -> str:
    """Return the SHA-256 of the stored bytes if they are those that came. Raises StoreFault."""
    whole, several = hashlib.sha256(), len(upload.pieces) > 1
    for (_, said), blocks in runs:
        own = hashlib.sha256() if several else whole
        for block in blocks:
            own.update(block)
            if several:
                whole.update(block)
        if own.hexdigest() != said:
            raise StoreFault("The stored bytes differ from the bytes that came.")
    found = whole.hexdigest()
    if upload.stated_sha256 and upload.stated_sha256 != found:
        raise StoreFault("The bytes that came differ from the file on the sender's side.")
    return found
