"""Writing objects larger than one request: in parts, whose digests the server compares."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any

from evidence.store.away import StoreAway
from evidence.store.faults import StoreFault

# Memory holds one part. A server takes 10,000 of them: 160 GB.
PART = 16 * 1024 * 1024
# A server joins parts from here on; only the last may be smaller.
LEAST_PART = 5 * 1024 * 1024
# What a server copies as one part while it says nothing.
COPIED_PART = 64 * 1024 * 1024
MOST_PARTS = 10_000
Ask = Callable[..., dict[str, Any]]


@dataclass(frozen=True)
class Sent:
    """What was written: its digest, its size, and whether the server computed the same."""

    sha256: str
    size: int
    confirmed: bool


@dataclass(frozen=True)
class Begun:
    """An upload in parts that was begun: of which name, and when."""

    name: str
    upload_id: str
    begun_at: datetime


def send_object(ask: Ask, key: str, content: IO[bytes]) -> Sent:
    """Write an object from a file that is read once. Raises StoreFault, StoreAway.

    Every request carries the SHA-256 of its bytes: a server that knows this compares them with
    what came, and refuses what differs.
    """
    whole = hashlib.sha256()
    piece = _part(content, whole)
    if len(piece) < PART:
        told = _told(piece)
        answer = ask("put_object", Key=key, Body=piece, ChecksumSHA256=told)
        return Sent(whole.hexdigest(), len(piece), answer.get("ChecksumSHA256") == told)
    size, told_of_parts = 0, b""
    parts: list[dict[str, Any]] = []
    with _upload(ask, key) as upload:
        while piece:
            told = _told(piece)
            told_of_parts += base64.b64decode(told)
            given = ask(
                "upload_part",
                **upload,
                PartNumber=len(parts) + 1,
                Body=piece,
                ChecksumSHA256=told,
            )
            parts.append(_described(len(parts) + 1, given))
            size += len(piece)
            piece = _part(content, whole)
        answer = ask("complete_multipart_upload", **upload, MultipartUpload={"Parts": parts})
    composite = f"{_told(told_of_parts)}-{len(parts)}"
    return Sent(whole.hexdigest(), size, answer.get("ChecksumSHA256") == composite)


def assemble(ask: Ask, bucket: str, key: str, sources: Sequence[tuple[str, int]]) -> None:
    """Let the server make one object of others (key and size of each), without sending a byte.

    Raises StoreFault, StoreAway, FileNotFoundError.
    """
    total = sum(size for _, size in sources)
    step = max(COPIED_PART, -(-total // MOST_PARTS))
    parts: list[dict[str, Any]] = []
    with _upload(ask, key) as upload:
        for source, size in sources:
            for first in range(0, size, step):
                last = min(first + step, size) - 1
                given = ask(
                    "upload_part_copy",
                    **upload,
                    PartNumber=len(parts) + 1,
                    CopySource={"Bucket": bucket, "Key": source},
                    CopySourceRange=f"bytes={first}-{last}",
                )
                parts.append(_described(len(parts) + 1, given.get("CopyPartResult", {})))
        ask("complete_multipart_upload", **upload, MultipartUpload={"Parts": parts})


def can_be_assembled(sizes: Sequence[int]) -> bool:
    """Tell whether a server joins objects of these sizes: only the last may be small."""
    return len(sizes) > 1 and all(
        size >= LEAST_PART and (size % COPIED_PART == 0 or size % COPIED_PART >= LEAST_PART)
        for size in sizes[:-1]
    )


@contextmanager
def _upload(ask: Ask, key: str) -> Iterator[dict[str, Any]]:
    """Begin an upload in parts; where the block fails, the server forgets them.

    Not a server that is away: waited for once, it is not waited for again.
    """
    begun = ask("create_multipart_upload", Key=key, ChecksumAlgorithm="SHA256")
    upload = {"Key": key, "UploadId": begun["UploadId"]}
    try:
        yield upload
    except StoreAway:
        raise
    except BaseException:
        with suppress(StoreAway, StoreFault, FileNotFoundError):
            ask("abort_multipart_upload", **upload)
        raise


def _part(content: IO[bytes], whole: Any) -> bytes:
    pieces, length = [], 0
    while length < PART and (piece := content.read(min(1024 * 1024, PART - length))):
        whole.update(piece)
        pieces.append(piece)
        length += len(piece)
    return b"".join(pieces)


def _told(piece: bytes) -> str:
    return base64.b64encode(hashlib.sha256(piece).digest()).decode()


def _described(number: int, given: dict[str, Any]) -> dict[str, Any]:
    told = {"ChecksumSHA256": given["ChecksumSHA256"]} if given.get("ChecksumSHA256") else {}
    return {"PartNumber": number, "ETag": given["ETag"], **told}
