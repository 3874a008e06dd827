"""What a sent piece must say, by tus 1.0.0. No database, no clock.

The protocol: https://tus.io/protocols/resumable-upload, version 1.0.0, with the extensions
creation, creation-with-upload, checksum, expiration and termination.
"""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

VERSION = "1.0.0"
EXTENSIONS = "creation,creation-with-upload,checksum,expiration,termination"
# The protocol asks every server for sha1; sha256 is what the office uses.
ALGORITHMS = ("sha256", "sha1")
PIECE_TYPE = "application/offset+octet-stream"
# An unfinished file is kept this long after its last byte came.
KEPT_FOR = timedelta(days=7)
# The browser itself asks for a whole file to be taken in; after this long without it, a job does.
PATIENCE = timedelta(minutes=2)
MOST_LINES = 2000


class Malformed(Exception):
    """A header that the protocol does not allow; the answer is 400."""


@dataclass(frozen=True)
class Checksum:
    """What a piece's bytes must come to."""

    algorithm: str
    digest: bytes


def metadata_of(header: str) -> dict[str, str]:
    """Read `Upload-Metadata`: pairs of a key and a base64 value. Raises Malformed."""
    read: dict[str, str] = {}
    for pair in header.split(","):
        key, _, value = pair.strip().partition(" ")
        if not key:
            continue
        if key in read:
            raise Malformed(f"Upload-Metadata names {key} twice.")
        try:
            read[key] = base64.b64decode(value, validate=True).decode()
        except (binascii.Error, ValueError) as error:
            raise Malformed(f"Upload-Metadata: {key} is not base64 of UTF-8 text.") from error
    return read


def checksum_of(header: str) -> Checksum | None:
    """Read `Upload-Checksum`; None when there is none. Raises Malformed."""
    if not header:
        return None
    algorithm, _, value = header.partition(" ")
    if algorithm not in ALGORITHMS:
        raise Malformed(f"Upload-Checksum: only {', '.join(ALGORITHMS)} are known.")
    try:
        return Checksum(algorithm, base64.b64decode(value, validate=True))
    except (binascii.Error, ValueError) as error:
        raise Malformed("Upload-Checksum is not base64.") from error


def count_of_bytes(header: str | None, name: str) -> int:
    """Read a header that holds a number of bytes. Raises Malformed."""
    if header is None or not header.isascii() or not header.isdecimal() or len(header) > 15:
        raise Malformed(f"{name} must be a number of bytes.")
    return int(header)


def with_run(
    pieces: list[list[Any]], offset: int, length: int, sha256: str, claim: str
) -> list[list[Any]]:
    """Return the pieces up to `offset` with the run that begins there; a longer one replaces it.

    `claim` says which connection wrote it.
    """
    before, end = [], 0
    for piece in pieces:
        if end >= offset:
            break
        before.append(piece)
        end += piece[0]
    return [*before, [length, sha256, claim]]
