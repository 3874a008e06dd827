"""Where finished packets are kept: made in a folder of the store, published by one step.

Every attempt has its own names and its own folder, and holds a lock on that folder for as long
as it lives: what an attempt left is removed only where nobody holds it.
"""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DatabaseError, InterfaceError
from django.db.models import QuerySet

from cases.packets.models import BuiltFile
from evidence.store import INCOMING, StoreAway, in_folder, publish_made, require_own_store
from me_office.audit.models import rows_of

PACKETS = "packets"
_PREFIX = "packet-"


def path_of(packet_id: UUID, attempt: int) -> str:
    """Return the final name of what an attempt makes."""
    again = f"-{attempt}" if attempt > 1 else ""
    # The end of the key: its beginning is a time and would put all of a month in one folder.
    return f"{PACKETS}/{packet_id.hex[-2:]}/{packet_id}{again}.zip"


def work_place() -> Path:
    """Return where attempts work: beside the store's files, so that nothing is copied to publish.

    A packet is as large as its originals: the machine's temporary folder is not made for that.
    """
    if in_folder():
        return Path(default_storage.path(INCOMING))
    return Path(settings.DATA_DIR) / "packets-being-made"


@contextmanager
def work_folder(packet_id: UUID, attempt: int) -> Iterator[Path]:
    """Return a private folder for one attempt, locked while it is used and removed afterward.

    Raises WrongStore: it may lie in the store.
    """
    require_own_store()
    folder = work_place() / f"{_PREFIX}{packet_id}-{attempt}"
    handle = _make_and_lock(folder)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        os.close(handle)


def _make_and_lock(folder: Path) -> int:
    """Make a folder and return the handle of its lock.

    Between the two somebody who clears up may have taken it for one that was left, and removed it:
    then it is made again.
    """
    while True:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            handle = os.open(folder, os.O_RDONLY)
        except FileNotFoundError:
            continue
        fcntl.flock(handle, fcntl.LOCK_EX)
        # Whoever clears up holds the lock until it is gone: a folder that is there now stays.
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(handle), folder.stat()):
                return handle
        os.close(handle)


def remove_left_folders() -> int:
    """Remove the folders of attempts that were killed; return how many.

    A folder whose attempt lives is locked, also where a later attempt has taken its work over.
    """
    removed = 0
    for folder in sorted(work_place().glob(f"{_PREFIX}*")):
        try:
            handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        except OSError:
            continue
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            continue
        else:
            # It may be another's by now: removed meanwhile, and made again under its name.
            with suppress(FileNotFoundError):
                if os.path.samestat(os.fstat(handle), folder.stat()):
                    shutil.rmtree(folder, ignore_errors=True)
                    removed += 1
        finally:
            os.close(handle)
    return removed


def publish(made: Path, *, packet_id: UUID, attempt: int) -> tuple[str, str]:
    """Give a finished file its final name; return that, and the digest read back from it.

    A part of it never has that name, and nobody has it open any more.
    """
    return publish_made(made, path_of(packet_id, attempt))


def _remove_published(packet_id: UUID, *, before: int) -> None:
    """Remove what attempts before this one published when they were killed right after it."""
    for attempt in range(1, before):
        remove(path_of(packet_id, attempt))


@contextmanager
def until_finished(built: BuiltFile, path: str, *, attempt: int) -> Iterator[None]:
    """Keep what an attempt published while the block finishes it; where that fails, remove it.

    Then what earlier attempts left is cleared away.
    """
    try:
        yield
    except BaseException:
        take_back(path, rows_of(type(built)).filter(pk=built.pk))
        raise
    _remove_published(built.pk, before=attempt)


def take_back(path: str, rows: QuerySet[Any]) -> None:
    """Remove what an attempt published and could not finish, unless a row names it.

    The answer to a commit may be lost with the connection. Where nobody can be asked the file
    stays: it is what was made, or a later attempt clears it away.
    """
    try:
        named = rows.filter(path=path).exists()
    except (DatabaseError, InterfaceError):
        return
    if not named:
        remove(path)


def remove(path: str) -> None:
    """Remove what an attempt published and could not finish.

    Where the store is away it stays, and no row names it.
    """
    with suppress(FileNotFoundError, StoreAway):
        default_storage.delete(path)
