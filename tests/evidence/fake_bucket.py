"""A server that speaks as much of S3's protocol as the store asks for, well or badly.

What it says of digests and errors: Amazon S3 API reference, version 2006-03-01.
"""

from __future__ import annotations

import base64
import hashlib
import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit
from xml.sax.saxutils import escape

from evidence import store
from evidence.store.bucket import Bucket
from evidence.store.models import StoredFile

NAME = "tarn"
MEGABYTE = 1024 * 1024


@dataclass
class Made:
    """An object of any size that nobody holds: the same megabyte again and again."""

    size: int
    block: bytes = bytes(range(256)) * 4096

    def part(self, first: int, last: int) -> Iterator[bytes]:
        while first <= last:
            inside = first % MEGABYTE
            piece = self.block[inside : min(MEGABYTE, inside + last - first + 1)]
            first += len(piece)
            yield piece


@dataclass
class Server:
    """What the server holds, how it behaves, and what it was asked."""

    objects: dict[str, bytes | Made] = field(default_factory=dict)
    fault: str = ""
    tells_digests: bool = True
    keeps_conditions: bool = True
    # What it answers where something is there; 409 while another still writes it.
    not_again: int = 412
    asked: list[tuple[str, str]] = field(default_factory=list)
    ranges: list[str] = field(default_factory=list)
    received: int = 0
    sent: int = 0
    parts: dict[int, bytes] = field(default_factory=dict)
    # By its id, an upload in parts that was begun: key and moment.
    begun: dict[str, tuple[str, datetime]] = field(default_factory=dict)
    let_go: threading.Event = field(default_factory=threading.Event)
    endpoint: str = ""

    def storage(self, **options: str) -> Bucket:
        """Return a storage of the office's that asks this server."""
        return Bucket(
            bucket_name=NAME, endpoint_url=self.endpoint, region_name="us-east-1",
            access_key="tarn", secret_key="tarn-county", file_overwrite=False, default_acl=None,
            **options,
        )  # fmt: skip


def told(content: bytes) -> str:
    """Return a SHA-256 as the protocol writes it."""
    return base64.b64encode(hashlib.sha256(content).digest()).decode()


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    server: _Listening

    def log_message(self, *_: object) -> None:
        """Say nothing."""

    def handle_one_request(self) -> None:
        try:
            super().handle_one_request()
        except OSError:
            self.close_connection = True

    def _begin(self) -> tuple[str, dict[str, list[str]], bytes] | None:
        it = self.server.it
        address = urlsplit(self.path)
        key = unquote(address.path).removeprefix(f"/{NAME}").lstrip("/")
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        it.received += len(body)
        what = f"{self.command} copy" if "x-amz-copy-source" in self.headers else self.command
        it.asked.append((what, key))
        if it.fault == "hangs":
            it.let_go.wait(30)
            self.close_connection = True
            return None
        if it.fault in {"500", "503"}:
            self._answer(int(it.fault), _error("SlowDown" if it.fault == "503" else "Internal"))
            return None
        if it.fault == "denies":
            self._answer(403, _error("AccessDenied"))
            return None
        if it.fault == "other bucket":
            self._answer(404, _error("NoSuchBucket"))
            return None
        return key, parse_qs(address.query, keep_blank_values=True), body

    def _answer(self, status: int, body: bytes = b"", **headers: str) -> None:
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def do_GET(self) -> None:
        begun = self._begin()
        if begun is None:
            return
        key, query, _ = begun
        it = self.server.it
        if not key and "uploads" in query:
            self._list_begun(query)
            return
        if not key:
            self._list(query)
            return
        there = it.objects.get(key)
        if there is None:
            self._answer(404, _error("NoSuchKey"))
            return
        size = there.size if isinstance(there, Made) else len(there)
        it.ranges.append(self.headers["Range"])
        first, last = map(int, self.headers["Range"].removeprefix("bytes=").split("-"))
        if first >= size:
            self._answer(416, _error("InvalidRange"))
            return
        last = min(last, size - 1)
        self.send_response(206)
        self.send_header("Content-Range", f"bytes {first}-{last}/{size}")
        self.send_header("Content-Length", str(last - first + 1))
        self.send_header("ETag", '"one"')
        self.end_headers()
        self._send(there, first, last)

    def _send(self, there: bytes | Made, first: int, last: int) -> None:
        it = self.server.it
        if it.fault == "cuts":
            last = first + (last - first) // 2
            self.close_connection = True
        pieces = there.part(first, last) if isinstance(there, Made) else [there[first : last + 1]]
        for piece in pieces:
            if it.fault == "trickles":
                for one in piece[:1000]:
                    self.wfile.write(bytes([one]))
                    if it.let_go.wait(0.05):
                        return
            # Counted first: whoever has read it may look at once.
            it.sent += len(piece)
            self.wfile.write(piece)

    def do_HEAD(self) -> None:
        begun = self._begin()
        if begun is None:
            return
        there = self.server.it.objects.get(begun[0])
        if there is None:
            self._answer(404)
            return
        self.send_response(200)
        self.send_header("Content-Length", str(len(there)))  # type: ignore[arg-type]
        self.send_header("Last-Modified", "Sun, 01 Mar 2026 10:00:00 GMT")
        self.end_headers()

    def do_DELETE(self) -> None:
        begun = self._begin()
        if begun is None:
            return
        key, query, _ = begun
        if "uploadId" not in query:
            self.server.it.objects.pop(key, None)
        elif self.server.it.begun.pop(query["uploadId"][0], None) is None:
            self._answer(404, _error("NoSuchUpload"))
            return
        self._answer(204)

    def do_POST(self) -> None:
        begun = self._begin()
        if begun is None:
            return
        key, query, _ = begun
        it = self.server.it
        if "uploads" in query:
            it.parts.clear()
            self._answer(200, _xml("InitiateMultipartUploadResult", UploadId="u", Key=key))
            return
        parts = [it.parts[number] for number in sorted(it.parts)]
        it.objects[key] = b"".join(parts)
        digests = b"".join(hashlib.sha256(part).digest() for part in parts)
        said = {"ChecksumSHA256": f"{told(digests)}-{len(parts)}"} if it.tells_digests else {}
        self._answer(200, _xml("CompleteMultipartUploadResult", Key=key, ETag='"one"', **said))

    def do_PUT(self) -> None:
        begun = self._begin()
        if begun is None:
            return
        key, query, body = begun
        it = self.server.it
        source = self.headers.get("x-amz-copy-source")
        if source:
            there = it.objects.get(unquote(source).split("/", 1)[1])
            if there is None:
                self._answer(404, _error("NoSuchKey"))
                return
            if "x-amz-copy-source-range" in self.headers:
                first, last = self.headers["x-amz-copy-source-range"][6:].split("-")
                there = there[int(first) : int(last) + 1]  # type: ignore[index]
            assert isinstance(there, bytes)
            body = there[:-1] if it.fault == "copies wrongly" else there
        if self.headers.get("If-None-Match") == "*" and it.keeps_conditions and key in it.objects:
            self._answer(it.not_again, _error("PreconditionFailed"))
            return
        sent = self.headers.get("x-amz-checksum-sha256")
        if sent and it.tells_digests and sent != told(body):
            self._answer(400, _error("BadDigest"))
            return
        if "partNumber" in query:
            it.parts[int(query["partNumber"][0])] = body
        else:
            it.objects[key] = body[:-1] if it.fault == "keeps wrongly" else body
        said = {"ChecksumSHA256": told(body)} if it.tells_digests else {}
        if source:
            name = "CopyPartResult" if "partNumber" in query else "CopyObjectResult"
            self._answer(200, _xml(name, ETag='"one"', **said))
        else:
            headers = {"x_amz_checksum_sha256": told(body)} if it.tells_digests else {}
            self._answer(200, ETag='"one"', **headers)

    def _list_begun(self, query: dict[str, list[str]]) -> None:
        """Two a page, as a server with many has pages."""
        prefix = query.get("prefix", [""])[0]
        rows = sorted((key, one, then) for one, (key, then) in self.server.it.begun.items())
        after = query.get("key-marker", [""])[0], query.get("upload-id-marker", [""])[0]
        left = [row for row in rows if row[0].startswith(prefix) and row[:2] > after]
        said = "".join(
            _text("Upload", Key=key, UploadId=one, Initiated=then.isoformat())
            for key, one, then in left[:2]
        )
        if left[2:]:
            said += f"<NextKeyMarker>{left[1][0]}</NextKeyMarker><IsTruncated>true</IsTruncated>"
            said += f"<NextUploadIdMarker>{left[1][1]}</NextUploadIdMarker>"
        name = "ListMultipartUploadsResult"
        self._answer(200, f"<{name}>{said}</{name}>".encode())

    def _list(self, query: dict[str, list[str]]) -> None:
        prefix, folders = query.get("prefix", [""])[0], set[str]()
        rows = ""
        for key, there in sorted(self.server.it.objects.items()):
            if not key.startswith(prefix):
                continue
            inner, found, _ = key[len(prefix) :].partition("/")
            if found and "delimiter" in query:
                folders.add(f"{prefix}{inner}/")
                continue
            size = there.size if isinstance(there, Made) else len(there)
            rows += f"<Contents><Key>{escape(key)}</Key><Size>{size}</Size></Contents>"
        for folder in sorted(folders):
            rows += f"<CommonPrefixes><Prefix>{escape(folder)}</Prefix></CommonPrefixes>"
        self._answer(200, f"<ListBucketResult>{rows}</ListBucketResult>".encode())


def _text(name: str, **said: str) -> str:
    inside = "".join(f"<{key}>{escape(value)}</{key}>" for key, value in said.items())
    return f"<{name}>{inside}</{name}>"


def _xml(name: str, **said: str) -> bytes:
    return _text(name, **said).encode()


def _error(code: str) -> bytes:
    return _xml("Error", Code=code, Message=code)


class _Listening(ThreadingHTTPServer):
    daemon_threads = True
    it: Server


@contextmanager
def serving() -> Iterator[Server]:
    """Run such a server on the loopback address."""
    listening = _Listening(("127.0.0.1", 0), _Handler)
    listening.it = Server(endpoint=f"http://127.0.0.1:{listening.server_port}")
    thread = threading.Thread(target=listening.serve_forever, args=(0.01,), daemon=True)
    thread.start()
    try:
        yield listening.it
    finally:
        listening.it.let_go.set()
        listening.shutdown()
        listening.server_close()
        thread.join()


def use_bucket(settings: Any, server: Server, folder: str = "") -> None:
    """Set the office's store to a folder of this server's bucket."""
    options = {
        "bucket_name": NAME, "endpoint_url": server.endpoint, "region_name": "us-east-1",
        "access_key": NAME, "secret_key": "tarn-county", "file_overwrite": False,
        **({"location": folder} if folder else {}),
    }  # fmt: skip
    backend = {"BACKEND": "evidence.store.bucket.Bucket", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": backend}


def kept(content: bytes) -> StoredFile:
    """A file in the office's store, whatever that is."""
    with store.receive(io.BytesIO(content), name="x") as incoming:
        return store.publish(incoming)
