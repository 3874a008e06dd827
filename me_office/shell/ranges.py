"""Sending stored bytes, whole or from where a broken download stopped: RFC 9110, section 14."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, Any

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase

# Opens the bytes from a place on, so many.
Open = Callable[[int, int], IO[bytes]]
_ONE_RANGE = re.compile(r"bytes=\s*(\d*)\s*-\s*(\d*)\s*", re.IGNORECASE)


@dataclass(frozen=True)
class StoredBytes:
    """What is sent: its bytes never change, so that its digest names it."""

    sha256: str
    size: int
    media_type: str
    filename: str = ""
    as_attachment: bool = False

    @property
    def etag(self) -> str:
        """The strong entity tag."""
        return f'"{self.sha256}"'


class Unsatisfiable(Exception):
    """The range lies behind the last byte."""


def wanted(request: HttpRequest, stored: StoredBytes) -> tuple[int, int] | None:
    """Return first byte and length of the one range that is asked for; None means all.

    A range of another unit, one that cannot be read and several at once are answered with all
    (section 14.2 lets a server); so is one whose `If-Range` names other bytes (section 13.1.5).
    Raises Unsatisfiable.
    """
    header = request.headers.get("Range", "")
    if request.method != "GET" or not header or len(header) > 60:
        return None
    unless = request.headers.get("If-Range")
    if unless is not None and unless.strip() != stored.etag:
        return None
    read = _ONE_RANGE.fullmatch(header)
    if read is None or not (read[1] or read[2]):
        return None
    if not read[1]:  # the last so many bytes
        length = min(int(read[2]), stored.size)
        if length == 0:
            raise Unsatisfiable
        return stored.size - length, length
    first = int(read[1])
    last = min(int(read[2]), stored.size - 1) if read[2] else stored.size - 1
    if read[2] and int(read[2]) < first:
        return None
    if first >= stored.size:
        raise Unsatisfiable
    return first, last - first + 1


def send_bytes(request: HttpRequest, stored: StoredBytes, open_from: Open) -> HttpResponseBase:
    """Answer GET with the bytes or a part of them, HEAD with what would come."""
    try:
        part = wanted(request, stored)
    except Unsatisfiable:
        refused = HttpResponse(status=416, content_type="text/plain")
        refused["Content-Range"] = f"bytes */{stored.size}"
        return _described(refused, stored)
    first, length = part or (0, stored.size)
    if request.method == "HEAD":
        answer: HttpResponseBase = HttpResponse(content_type=stored.media_type)
    else:
        answer = FileResponse(
            open_from(first, length),
            as_attachment=stored.as_attachment,
            filename=stored.filename,
            content_type=stored.media_type,
        )
    answer["Content-Length"] = str(length)
    if part is not None:
        answer.status_code = 206
        answer["Content-Range"] = f"bytes {first}-{first + length - 1}/{stored.size}"
    return _described(answer, stored)


def _described(answer: HttpResponseBase, stored: StoredBytes) -> HttpResponseBase:
    answer["Accept-Ranges"] = "bytes"
    answer["ETag"] = stored.etag
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    # RFC 9530: who receives the bytes can compare them without this office's software. It is the
    # digest of the whole, whatever part is sent.
    digest = base64.b64encode(bytes.fromhex(stored.sha256)).decode()
    answer["Repr-Digest"] = f"sha-256=:{digest}:"
    return answer


class Window:
    """A part of an open file, as a file of its own: a web server can send it by itself."""

    def __init__(self, file: IO[bytes], first: int, length: int) -> None:
        self.file, self.first, self.length = file, first, length
        self.at = 0
        file.seek(first)

    def read(self, size: int = -1) -> bytes:
        """Return the next bytes, none behind the end of the part."""
        left = self.length - self.at
        piece = self.file.read(left if size is None or size < 0 else min(size, left))
        self.at += len(piece)
        return piece

    def seekable(self) -> bool:
        """Tell that any place of the part can be read."""
        return True

    def seek(self, offset: int, whence: int = 0) -> int:
        """Go to a place of the part."""
        base = {0: 0, 1: self.at, 2: self.length}[whence]
        self.at = max(0, min(self.length, base + offset))
        self.file.seek(self.first + self.at)
        return self.at

    def tell(self) -> int:
        """Return the place in the part."""
        return self.at

    def close(self) -> None:
        """Close the file."""
        self.file.close()

    def __getattr__(self, name: str) -> Any:
        if name in {"name", "fileno"}:  # the whole file's, and not the part's
            raise AttributeError(name)
        return getattr(self.file, name)
