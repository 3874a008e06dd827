"""Where finished packets are kept: written to a temporary name, published by one step.

Every attempt has its own names, so that an attempt which comes back from the dead can't touch the
file of the one that finished.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import UUID

from django.core.files.base import File
from django.core.files.storage import default_storage

from evidence.store import CHUNK, digest_of

INCOMING = "incoming"
PACKETS = "packets"


def path_of(packet_id: UUID, attempt: int) -> str:
    """Return the final name of what an attempt makes."""
    again = f"-{attempt}" if attempt > 1 else ""
    # The end of the key: its beginning is a time and would put all of a month in one folder.
    return f"{PACKETS}/{packet_id.hex[-2:]}/{packet_id}{again}.zip"


@contextmanager
def work_folder(packet_id: UUID, attempt: int) -> Iterator[Path]:
    """Return a private folder for one attempt; what earlier attempts left here is removed."""
    for left in Path(tempfile.gettempdir()).glob(f"packet-{packet_id}-*"):
        shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix=f"packet-{packet_id}-{attempt}-") as folder:
        yield Path(folder)


def publish(made: Path, *, packet_id: UUID, attempt: int) -> str:
    """Give a finished file its final name in the storage; a part of it never has that name."""
    target = path_of(packet_id, attempt)
    try:
        there = Path(default_storage.path(target))
    except NotImplementedError:
        # A storage without folders (S3-compatible) shows an object only when it is whole.
        with made.open("rb") as file:
            return default_storage.save(target, File(file))
    waiting = Path(default_storage.path(f"{INCOMING}/packet-{packet_id}-{attempt}"))
    waiting.parent.mkdir(parents=True, exist_ok=True)
    there.parent.mkdir(parents=True, exist_ok=True)
    with made.open("rb") as source, waiting.open("wb") as copy:
        shutil.copyfileobj(source, copy, CHUNK)
        copy.flush()
        os.fsync(copy.fileno())
    waiting.chmod(0o440)
    waiting.replace(there)
    _flush_folder(there.parent)
    return target


def remove_unfinished(packet_id: UUID, *, before: int) -> None:
    """Remove what attempts before this one left behind when they were killed."""
    for attempt in range(1, before):
        for left in (f"{INCOMING}/packet-{packet_id}-{attempt}", path_of(packet_id, attempt)):
            default_storage.delete(left)


def remove(path: str) -> None:
    """Remove what an attempt published after another one had taken over."""
    default_storage.delete(path)


def chunks_of(path: str) -> Iterator[bytes]:
    """Yield the bytes of a packet, piece by piece."""
    with default_storage.open(path) as file:
        while chunk := file.read(CHUNK):
            yield chunk


def is_whole(path: str, sha256: str) -> bool:
    """Tell whether a packet is there and still has its digest."""
    return default_storage.exists(path) and digest_of(path) == sha256


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
