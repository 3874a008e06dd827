"""Whose store this is: a mark in it with the office's id, looked at before anything is written.

A folder whose disk is not mounted is empty, and a wrong bucket answers as well as the right one:
what was written there would be missing later, and nobody would know since when.
"""

from __future__ import annotations

import json
import os
import time
from contextlib import suppress
from enum import StrEnum
from functools import cache
from io import BytesIO
from pathlib import Path
from uuid import UUID, uuid4

from django.core.files.base import File
from django.core.files.storage import default_storage, storages

from evidence.store.limits import within_limit
from evidence.store.lying import INCOMING, MARK, is_empty
from evidence.store.models import OfficeIdentity, StoredFile
from me_office.audit.errors import OfficeError

# Longer than any mark: whatever else lies under that name is not read whole.
LONGEST = 1000
# A bucket is not asked anew before each piece; a folder is, which costs nothing.
REMEMBERED_SECONDS = 30.0
# So many of the newest files have to be there before a store without a mark is taken for the own.
NEWEST = 20


class Whose(StrEnum):
    """Whose store this is, as its mark says."""

    OURS = "this office's"
    NEW = "empty, and so is the office"
    UNMARKED = "without a mark, and holds the newest files that the database names"
    LOST = "without a mark, and does not hold what the database names"
    STRANGE = "without a mark, and holds files that the database does not know"
    UNREADABLE = "marked, and its mark can't be read"
    MOVED = "one that a move filled, or left for another"
    OTHERS = "marked as another office's"


# Those to which may be written.
GOOD = frozenset({Whose.OURS, Whose.NEW, Whose.UNMARKED})


class WrongStore(OfficeError):
    """The store is not the one that the database knows: nothing is written to it."""

    code = "wrong_store"
    status = 503

    def __init__(self, whose: Whose) -> None:
        super().__init__(
            f"The file store is not this office's: it is {whose}. Nothing was saved, and "
            "nothing can be added until an administrator has put it right."
        )
        self.whose = whose


NOBODYS = "nobody's"


@cache
def office_id() -> UUID:
    """Return the id that this office's database was given when it was made."""
    return OfficeIdentity.objects.get().pk


def whose() -> Whose:
    """Say whose store this is; writes nothing."""
    marked = read_mark()
    if marked == "":
        return Whose.UNREADABLE
    if marked is not None:
        own = str(office_id())
        known = {own: Whose.OURS, f"{NOBODYS} {own}": Whose.MOVED}
        return known.get(marked, Whose.OTHERS)
    newest = list(
        StoredFile.objects.order_by("-stored_at", "-pk").values_list("path", flat=True)[:NEWEST]
    )
    if not newest:
        return Whose.NEW if is_empty() else Whose.STRANGE
    there = all(default_storage.exists(path) for path in newest)
    return Whose.UNMARKED if there else Whose.LOST


def read_mark() -> str | None:
    """Return the id that the store's mark carries, "" for one that can't be read; None: no mark.

    A store that is being filled, or was left, is marked as nobody's, with the id that moved it.
    """
    try:
        said = json.loads(within_limit(_mark_as_it_is))
    except FileNotFoundError:
        return None
    except ValueError:
        return ""
    if not isinstance(said, dict):
        return ""
    return str(said.get("office") or f"{NOBODYS} {said.get('was', '')}")


def _mark_as_it_is() -> bytes:
    with default_storage.open(MARK) as file:
        content: bytes = file.read(LONGEST)
    return content


def write_mark() -> None:
    """Mark the store as this office's, also where the mark can't be read.

    Raises WrongStore where another mark is there.
    """
    said = json.dumps({"office": str(office_id()), "what": "Whose files these are: keep this."})
    found = read_mark()
    if not found:
        _put(said.encode(), instead=found is not None)
    if read_mark() != str(office_id()):
        raise WrongStore(Whose.OTHERS)


def _put(said: bytes, *, instead: bool) -> None:
    """Write the mark whole or not at all: whoever reads half of one takes the store for lost."""
    try:
        there = Path(default_storage.path(MARK))
    except NotImplementedError:  # a bucket shows nothing before it is whole
        if instead:
            default_storage.delete(MARK)
        given = default_storage.save(MARK, File(BytesIO(said), name=MARK))
        if given != MARK:  # another process marked it in between
            default_storage.delete(given)
        return
    # Under a name by which what a dead process left is cleared away.
    made = there.parent / INCOMING / uuid4().hex
    made.parent.mkdir(parents=True, exist_ok=True)
    try:
        with made.open("xb") as file:
            file.write(said)
            file.flush()
            os.fsync(file.fileno())
        if instead:
            made.replace(there)
        else:
            with suppress(FileExistsError):  # another process marked it in between
                os.link(made, there)
    finally:
        made.unlink(missing_ok=True)


# The storage that was found to be the office's, and until when that is remembered.
_found: tuple[object, float] = (None, 0.0)


def require_own_store() -> None:
    """Refuse to write to a store that is not this office's; mark one at its first use.

    A store of before there were marks is taken for the office's where it holds the newest files
    that the database names. Raises WrongStore.
    """
    global _found
    storage, until = _found
    if storage is storages["default"] and time.monotonic() < until:
        return
    found = whose()
    if found not in GOOD:
        raise WrongStore(found)
    if found is not Whose.OURS:
        write_mark()
    try:
        default_storage.path("")
    except NotImplementedError:
        _found = storages["default"], time.monotonic() + REMEMBERED_SECONDS
