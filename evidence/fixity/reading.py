"""What a run reads next: the files that rows name, kind by kind, then what else lies there."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.files.storage import default_storage
from django.db.models import Model

from evidence import store
from evidence.fixity import rules
from evidence.fixity.models import FixityRun
from evidence.fixity.rules import Found
from evidence.store import lying, named
from evidence.store.models import StoredFile

log = logging.getLogger(__name__)
# When all that rows name was read, the store itself is looked through.
LOOKED_THROUGH = "store"


@dataclass(frozen=True)
class NotWhole:
    """A file that is not as it should be, and what names it."""

    path: str
    found: Found
    model: type[Model] | None = None
    row: UUID | None = None
    sha256: str = ""
    size_bytes: int | None = None
    found_sha256: str = ""

    @property
    def file_id(self) -> UUID | None:
        """Return the key of the stored file, where that is what names it."""
        return self.row if self.model is StoredFile else None

    @property
    def named_by(self) -> str:
        """Return the label of the model whose row names it."""
        return self.model._meta.label_lower if self.model else ""


def parts() -> list[str]:
    """Return what a run goes through, in order."""
    return [*(model._meta.label_lower for model in named.kinds()), LOOKED_THROUGH]


def part_of(run: FixityRun) -> str:
    """Return the part in which a run stands; it begins again where that kind is gone."""
    return run.part if run.part in parts() else parts()[0]


def rows_left(run: FixityRun) -> tuple[type[Model], Any]:
    """Return the kind at which a run stands and its rows that are still to be read, by key."""
    [model] = [one for one in named.kinds() if one._meta.label_lower == part_of(run)]
    since: str = model.file_kept_at  # type: ignore[attr-defined]
    rows = named.naming(model).filter(**{f"{since}__lte": run.until}).order_by("pk")
    rows = rows.only("pk", *named.COLUMNS)
    return model, rows if run.after is None else rows.filter(pk__gt=run.after)


def read(model: type[Model], row: Any) -> NotWhole:
    """Read one file and say how it was found."""
    sha256, found = None, Found.UNREADABLE
    try:
        sha256 = store.digest_if_there(row.path)
        found = rules.judged(stored=row.sha256, found=sha256)
    except (OSError, store.StoreFault):
        # A bad sector, or another one meanwhile: said of this file, and no reason to leave the
        # others unread.
        log.exception("Stored file %s cannot be read", row.pk)
    return unread(model, row, found, sha256 or "")


def unread(model: type[Model], row: Any, found: Found, found_sha256: str = "") -> NotWhole:
    """Return what is said of the file of a row."""
    return NotWhole(row.path, found, model, row.pk, row.sha256, row.size_bytes, found_sha256)


def unnamed_in(names: list[str], *, now: datetime) -> tuple[list[NotWhole], int]:
    """Return the files that no row names, and how many are too young to tell."""
    known = named.named_among(names)
    found, young = [], 0
    for path in names:
        if path in known:
            continue
        try:
            since, size = default_storage.get_modified_time(path), default_storage.size(path)
        except FileNotFoundError:  # an attempt has taken back what it published
            continue
        if rules.is_unfinished(since, now=now):
            young += 1
        else:
            found.append(NotWhole(path, Found.UNNAMED, size_bytes=size))
    return found, young


def waiting_since() -> list[datetime]:
    """Return since when each unfinished upload or attempt has lain in the temporary place."""
    try:
        inner, files = default_storage.listdir(lying.INCOMING)
    except FileNotFoundError:
        return []
    since = []
    for name in (*files, *(f"{folder}/{each}" for folder in inner for each in _files(folder))):
        try:
            since.append(default_storage.get_modified_time(f"{lying.INCOMING}/{name}"))
        except FileNotFoundError:
            continue
    return sorted(since)


def _files(folder: str) -> list[str]:
    try:
        return list(default_storage.listdir(f"{lying.INCOMING}/{folder}")[1])
    except FileNotFoundError:
        return []
