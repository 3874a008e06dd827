"""Whose store this is: a mark in it with the office's id, looked at before anything is written.

A folder whose disk is not mounted is empty, and a wrong bucket answers as well as the right one:
what was written there would be missing later, and nobody would know since when. The mark names the
database as well: a copy of it carries the same id, and would write beside the office that goes on.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, cast
from uuid import UUID, uuid4

from django.core.files.storage import default_storage, storages
from django.db import connection

from evidence.store.limits import within_limit
from evidence.store.lying import INCOMING, MARK, is_empty
from evidence.store.models import OfficeIdentity, StoredFile
from me_office.audit.errors import OfficeError

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

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
    UNCLAIMED = "this office's, and names no database of it"
    COPYS = "in use by another copy of this office's database"


# Those to which may be written.
GOOD = frozenset({Whose.OURS, Whose.NEW, Whose.UNMARKED, Whose.UNCLAIMED})


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


@cache
def this_database() -> str:
    """Return what tells this office's database from every other, a copy of it included.

    A standby that takes over has the same cluster identifier and goes on; a dump that was restored,
    and a cluster that pg_upgrade made, have another (PostgreSQL's documentation, 9.27.4).
    """
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT has_function_privilege('pg_control_system()', 'EXECUTE'), current_database()"
        )
        may_ask, name = cursor.fetchone()
        cluster: object = str(office_id())  # then a copy is not told from it
        if may_ask:
            cursor.execute("SELECT system_identifier FROM pg_control_system()")
            (cluster,) = cursor.fetchone()
    return hashlib.sha256(repr((cluster, name)).encode()).hexdigest()[:32]


@dataclass(frozen=True)
class Mark:
    """What a store's mark says: whose it is, and which database of that office writes here."""

    office: str
    database: str = ""


# An id that nobody has: a mark is there, and can't be read.
UNREADABLE = Mark("")


def whose() -> Whose:
    """Say whose store this is; writes nothing."""
    mark = read_mark()
    if mark == UNREADABLE:
        return Whose.UNREADABLE
    if mark is not None:
        return _whose_is(mark)
    newest = list(
        StoredFile.objects.order_by("-stored_at", "-pk").values_list("path", flat=True)[:NEWEST]
    )
    if not newest:
        return Whose.NEW if is_empty() else Whose.STRANGE
    there = all(default_storage.exists(path) for path in newest)
    return Whose.UNMARKED if there else Whose.LOST


def _whose_is(mark: Mark) -> Whose:
    own = str(office_id())
    if mark.office != own:
        return Whose.MOVED if mark.office == f"{NOBODYS} {own}" else Whose.OTHERS
    if not mark.database:
        return Whose.UNCLAIMED
    return Whose.OURS if mark.database == this_database() else Whose.COPYS


def read_mark() -> Mark | None:
    """Return what the store's mark says, UNREADABLE for one that can't be read; None: no mark.

    A store that is being filled, or was left, is marked as nobody's, with the id that moved it.
    """
    try:
        said = json.loads(within_limit(_mark_as_it_is))
    except FileNotFoundError:
        return None
    except ValueError:
        return UNREADABLE
    if not isinstance(said, dict):
        return UNREADABLE
    office = str(said.get("office") or f"{NOBODYS} {said.get('was', '')}")
    return Mark(office, str(said.get("database") or ""))


def _mark_as_it_is() -> bytes:
    with default_storage.open(MARK) as file:
        content: bytes = file.read(LONGEST)
    return content


def own_mark() -> dict[str, str]:
    """Return what the mark of this office's store says."""
    return {
        "office": str(office_id()),
        "database": this_database(),
        "what": "Whose files these are: keep this.",
    }


def write_mark(*, instead_of_a_copy: bool = False) -> None:
    """Mark the store as this office's and this database's, also where the mark can't be read.

    `instead_of_a_copy`: also where another copy of the database wrote here, which is no more.
    Raises WrongStore where another mark is there.
    """
    found = read_mark()
    replaced = {Whose.UNCLAIMED, Whose.COPYS} if instead_of_a_copy else {Whose.UNCLAIMED}
    if found in {None, UNREADABLE} or _whose_is(found) in replaced:
        _put(json.dumps(own_mark()).encode(), instead=found is not None)
    found = read_mark() or UNREADABLE
    if _whose_is(found) not in GOOD:  # or one of before databases were named, in between
        raise WrongStore(_whose_is(found))


def _put(said: bytes, *, instead: bool) -> None:
    """Write the mark whole or not at all: whoever reads half of one takes the store for lost."""
    try:
        there = Path(default_storage.path(MARK))
    except NotImplementedError:  # a bucket shows nothing before it is whole
        bucket = cast("Bucket", storages["default"])
        if instead:
            bucket.send(MARK, BytesIO(said))
        else:
            bucket.send_new(MARK, said)  # or another process marked it in between
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
