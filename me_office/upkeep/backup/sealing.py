"""Bytes sealed for a public key, and opened by its secret half: age-encryption.org/v1."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any

import pyrage


class Broken(Exception):
    """What is in the backup is not what was put there, or does not open with this key."""


@dataclass(frozen=True)
class Sealed:
    """What was sealed: digest and size of the bytes, and of what they were sealed into."""

    sha256: str
    size_bytes: int
    sealed_sha256: str
    sealed_bytes: int

    def as_json(self) -> dict[str, Any]:
        """Return it for the manifest."""
        return asdict(self)


class Through:
    """A file read or written whose digest is computed; keeps the error that stopped it.

    The library says in words of its own that reading or writing failed.
    """

    def __init__(self, file: Any) -> None:
        """Wrap an open file, or anything that can read or write."""
        self.file = file
        self.digest = hashlib.sha256()
        self.size = 0
        self.error: BaseException | None = None

    def _done(self, piece: bytes) -> None:
        self.digest.update(piece)
        self.size += len(piece)

    def _kept(self, work: Callable[..., Any], *given: Any) -> Any:
        try:
            return work(*given)
        except BaseException as error:
            self.error = error
            raise

    def read(self, size: int = -1) -> bytes:
        """Read on."""
        piece: bytes = self._kept(self.file.read, size)
        self._done(piece)
        return piece

    def write(self, piece: bytes) -> int:
        """Write on."""
        piece = bytes(piece)
        self._kept(self.file.write, piece)
        self._done(piece)
        return len(piece)

    def flush(self) -> None:
        """Pass it on."""
        self._kept(self.file.flush)


class Nowhere:
    """Where bytes go that are only compared."""

    def write(self, piece: bytes) -> int:
        """Forget them."""
        return len(piece)

    def flush(self) -> None:
        """Do nothing."""


def recipients(words: Sequence[str]) -> list[Any]:
    """Return the public keys (age1...). Raises ValueError."""
    found = []
    for word in words:
        try:
            found.append(pyrage.x25519.Recipient.from_str(word))
        except Exception as error:
            raise ValueError(f"{word!r} is no public key of age (age1...)") from error
    return found


def identities(file: Path) -> list[Any]:
    """Return the secret keys in a file as age-keygen writes it. Raises ValueError."""
    lines = [line.strip() for line in file.read_text().splitlines()]
    keys = [line for line in lines if line.startswith("AGE-SECRET-KEY-")]
    if not keys:
        raise ValueError(f"{file} holds no secret key of age (AGE-SECRET-KEY-...)")
    return [pyrage.x25519.Identity.from_str(key) for key in keys]


def seal(source: IO[bytes], there: Path, keys: Sequence[Any]) -> Sealed:
    """Seal bytes into a file that is safe on the disk when this returns. Raises OSError.

    What was begun and could not be finished is removed.
    """
    given = Through(source)
    there.parent.mkdir(parents=True, exist_ok=True)
    try:
        with there.open("xb") as file:
            written = Through(file)
            try:
                pyrage.encrypt_io(given, written, keys)
            except pyrage.EncryptError as error:
                raise given.error or written.error or OSError(str(error)) from error
            # What fails in the last piece of a small file, the library doesn't say.
            if failed := given.error or written.error:
                raise failed
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        with suppress(FileNotFoundError):
            there.unlink()
        raise
    return Sealed(given.digest.hexdigest(), given.size, written.digest.hexdigest(), written.size)


def open_sealed(there: Path, target: Any, keys: Sequence[Any]) -> Sealed:
    """Open a sealed file and write what it holds. Raises Broken, OSError of the target."""
    written = Through(target)
    with there.open("rb") as file:
        given = Through(file)
        try:
            pyrage.decrypt_io(given, written, keys)
        except Exception as error:
            if written.error is not None:
                raise written.error from error
            raise Broken(f"{there.name} does not open: {error}.") from error
        if written.error is not None:
            raise written.error
        while given.read(1 << 20):  # what nobody asked for belongs to its digest
            pass
    return Sealed(written.digest.hexdigest(), written.size, given.digest.hexdigest(), given.size)


def digest_of(there: Path) -> str:
    """Return the SHA-256 of a file."""
    with there.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
