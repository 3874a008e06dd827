"""The folder that backups are kept in: files once for all of them, and a folder for each backup.

    office.json                    whose backups these are
    README.txt                     how to open them without this software
    files/ab/DIGEST.SEALED.age     a file: SHA-256 of its bytes, SHA-256 of what it is sealed into
    backups/2026-11-29T004512Z/    database.dump.age, files.jsonl.age, manifest.json (the last one)

A file's name says what it has to be, so whoever has no key can still tell whether it is whole.
"""

from __future__ import annotations

import fcntl
import json
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from me_office.upkeep.backup.sealing import Broken, digest_of

FORMAT = 1
DATABASE, LIST, MANIFEST, CHECKED = (
    "database.dump.age", "files.jsonl.age", "manifest.json", "checked.json",
)  # fmt: skip
_FILE = re.compile(r"([0-9a-f]{64})\.([0-9a-f]{64})\.age")
READ_ME = """Backups of a medical examiner's office.

Everything that ends with .age is sealed by age, https://age-encryption.org/v1, and opens with the
office's secret key and any program of that format:

    age --decrypt -i KEY backups/NAME/database.dump.age > database.dump
    age --decrypt -i KEY backups/NAME/files.jsonl.age > files.jsonl

database.dump is PostgreSQL's custom format: pg_restore --no-owner --no-privileges -d DATABASE.
files.jsonl names each file of the store, a line a file: its path there, its SHA-256 and size.
Its bytes are in files/, the first two digits of the SHA-256 the folder, and the file whose name
begins with it. manifest.json says how many rows each table has; a folder without one is a backup
that was interrupted. With the software: manage.py restore, manage.py check_backup.
"""


def lacking(manifest: dict[str, Any]) -> Iterator[str]:
    """Say what was not whole when a backup was made: a line a file, of an empty store one."""
    if manifest.get("store_was_empty"):
        yield f"The file store was empty when the backup was made: {count_lacking(manifest)}"
        return
    for path, problem in manifest["not_whole"]:
        yield f"was {problem} when the backup was made: {path}"


def count_lacking(manifest: dict[str, Any]) -> str:
    """Say how many of the files that the database names are not in a backup."""
    lack, named = len(manifest["not_whole"]), manifest["files"]["named"]
    are = "is" if lack == 1 else "are"
    return f"{lack} of the {named} files that the database names {are} not in this backup."


class Refused(Exception):
    """The folder is in use, another office's, or holds no whole backup."""


class Target:
    """One folder of backups."""

    def __init__(self, folder: Path) -> None:
        """Note the folder."""
        self.folder = folder
        self.files = folder / "files"
        self.backups = folder / "backups"
        self._folder, self._sealed = "", dict[str, str]()

    @contextmanager
    def held(self, office: str) -> Iterator[None]:
        """Hold it for one backup of this office; what an interrupted one left is removed.

        Raises Refused.
        """
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with (self.folder / "lock").open("w") as lock:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise Refused(f"Another backup is being made in {self.folder}.") from None
            self._require(office)
            self._clear()
            yield

    def _require(self, office: str) -> None:
        mark = self.folder / "office.json"
        if not mark.exists():
            write_whole(mark, json.dumps({"office": office}))
            write_whole(self.folder / "README.txt", READ_ME)
        if json.loads(mark.read_text()).get("office") != office:
            raise Refused(f"{self.folder} holds the backups of another office.")

    def _clear(self) -> None:
        for left in (*self.files.glob("*/part-*"), *self.backups.glob("*")):
            if left.is_dir() and not (left / MANIFEST).exists():
                shutil.rmtree(left)
            elif left.is_file():
                left.unlink()

    def names(self) -> list[str]:
        """Return the whole backups, the oldest first."""
        return sorted(path.parent.name for path in self.backups.glob(f"*/{MANIFEST}"))

    def manifest(self, name: str) -> dict[str, Any]:
        """Return what a backup says of itself. Raises Refused."""
        there = self.backups / name / MANIFEST
        if not there.is_file():
            raise Refused(f"{self.backups / name} is no backup, or one that was interrupted.")
        said: dict[str, Any] = json.loads(there.read_text())
        if said.get("format") != FORMAT:
            raise Refused(f"{there} is of another format: a newer version made it.")
        return said

    def latest(self) -> str:
        """Return the newest whole backup. Raises Refused."""
        names = self.names()
        if not names:
            raise Refused(f"{self.folder} holds no whole backup.")
        return names[-1]

    def file(self, sha256: str) -> Path | None:
        """Return where a file lies, whole or not; None: nowhere."""
        sealed = self._sealed_in(sha256[:2]).get(sha256)
        return None if sealed is None else self._place_of(sha256, sealed)

    def take_in(self, part: Path, sha256: str, sealed_sha256: str) -> None:
        """Give a sealed file the name under which it is found."""
        part.rename(self._place_of(sha256, sealed_sha256))
        self._sealed_in(sha256[:2])[sha256] = sealed_sha256

    def remove(self, sha256: str) -> None:
        """Remove a file that is not whole."""
        if (there := self.file(sha256)) is not None:
            there.unlink(missing_ok=True)
            del self._sealed_in(sha256[:2])[sha256]

    def _place_of(self, sha256: str, sealed_sha256: str) -> Path:
        return self.files / sha256[:2] / f"{sha256}.{sealed_sha256}.age"

    def _sealed_in(self, folder: str) -> dict[str, str]:
        """Return what a folder's files are sealed into; it is listed once.

        Files come in the order of their digests: the names of two million are not held at once.
        """
        if folder != self._folder:
            found = (_FILE.fullmatch(one.name) for one in (self.files / folder).glob("*.age"))
            self._folder, self._sealed = folder, {one[1]: one[2] for one in found if one}
        return self._sealed


def is_whole(file: Path) -> bool:
    """Tell whether a sealed file still is what its name says."""
    found = _FILE.fullmatch(file.name)
    return found is not None and digest_of(file) == found.group(2)


def require_part(folder: Path, manifest: dict[str, Any], name: str) -> Path:
    """Return a part of a backup that is as it was written. Raises Broken."""
    there = folder / name
    if not there.is_file() or digest_of(there) != manifest["parts"][name]["sealed_sha256"]:
        raise Broken(f"{there} is missing or altered.")
    return there


def write_whole(there: Path, text: str) -> None:
    """Write a small file so that it is there whole or not at all."""
    part = there.with_name(f"part-{there.name}")
    with part.open("w") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    part.rename(there)
    handle = os.open(there.parent, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
