"""A bucket that speaks S3's protocol: streamed, with short time limits, its digests compared.

The protocol: Amazon S3 API reference, version 2006-03-01 (GetObject, PutObject, CopyObject,
UploadPart, UploadPartCopy, CompleteMultipartUpload, and "Checking object integrity").
"""

from __future__ import annotations

import base64
import binascii
import io
import logging
import threading
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import IO, Any, TypeVar

from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError
from django.core.files.base import File
from storages.backends.s3 import S3Storage
from storages.utils import clean_name
from urllib3.exceptions import HTTPError

from evidence.store.away import Breaker, StoreAway
from evidence.store.bucket_parts import Begun, Sent, send_object
from evidence.store.bucket_parts import assemble as assemble_object
from evidence.store.faults import StoreFault
from evidence.store.objects import LEAST_WINDOW, ObjectReader, Window
from evidence.store.patience import answered

log = logging.getLogger(__name__)
AnswerT = TypeVar("AnswerT")
CONNECT_SECONDS = 2.0
READ_SECONDS = 4.0
# A page may wait for a window this long in all; what came slowly by then is used.
WINDOW_SECONDS = 8.0
# Until a server has stored what it was sent; it says nothing meanwhile.
WRITE_SECONDS = 12.0
# A refusal as quick as this may pass: asked once more. What hung is not asked again.
QUICK_SECONDS = 1.0
# A server copies at this rate or better while it says nothing (bytes a second).
COPY_RATE = 20 * 1024 * 1024
# CopyObject takes objects up to here; larger ones are copied in parts.
COPY_AT_ONCE = 5 * 1024**3
# Where these are answered, nothing can be said of the objects. Only the last may pass by itself.
_NOT_US = frozenset({301, 307, 401, 403})
_NOT_HERE = frozenset({"NoSuchBucket", "PermanentRedirect"})
_NOT_NOW = frozenset({"RequestTimeout", "SlowDown"})
_PASSING_REFUSALS = frozenset({"BadDigest", "InvalidDigest", "XAmzContentSHA256Mismatch"})
_CHECKSUMS = ("ChecksumAlgorithm", "ChecksumSHA256", "ChecksumMode")


class Bucket(S3Storage):  # type: ignore[misc]  # the library tells no types
    """The office's bucket as a storage of Django's: what is written is never overwritten."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.breaker = Breaker()
        self._clients: dict[float, Any] = {}
        self._making = threading.Lock()

    def ask(
        self,
        operation: str,
        *,
        seconds: float | None = None,
        read: Callable[[dict[str, Any]], AnswerT] = lambda answer: answer,  # type: ignore[assignment,return-value]
        **said: Any,
    ) -> AnswerT:
        """Ask the server for one operation and read its answer within the block of the breaker.

        Asked once more where it refused at once. Raises StoreAway; ClientError for an answer that
        says something of the object.
        """
        within = READ_SECONDS if seconds is None else seconds
        return answered(lambda: self._ask(operation, within, read, said))

    def _ask(
        self,
        operation: str,
        seconds: float,
        read: Callable[[dict[str, Any]], AnswerT],
        said: dict[str, Any],
    ) -> AnswerT:
        with self.breaker.asking():
            began = time.monotonic()
            try:
                return self._ask_once(operation, seconds, read, said)
            except StoreAway:
                if time.monotonic() - began > QUICK_SECONDS:
                    raise
            except ClientError as error:
                if error.response["Error"]["Code"] == "NotImplemented":
                    said = {name: one for name, one in said.items() if name not in _CHECKSUMS}
                elif error.response["Error"]["Code"] not in _PASSING_REFUSALS:
                    raise
            return self._ask_once(operation, seconds, read, said)

    def _ask_once(
        self,
        operation: str,
        seconds: float,
        read: Callable[[dict[str, Any]], AnswerT],
        said: dict[str, Any],
    ) -> AnswerT:
        try:
            call = getattr(self._client(seconds), operation)
            return read(call(Bucket=self.bucket_name, **said))
        except ClientError as error:
            status = error.response["ResponseMetadata"]["HTTPStatusCode"]
            code = error.response["Error"]["Code"]
            refused = status in _NOT_US or code in _NOT_HERE
            if refused or status == 429 or (status >= 500 and status != 501) or code in _NOT_NOW:
                log.warning("The file store refused %s: %s (%s)", operation, code, status)
                raise StoreAway(f"{operation}: {code}", passing=not refused) from error
            raise
        except (BotoCoreError, HTTPError, OSError) as error:
            kind = type(error).__name__
            log.warning("The file store did not answer %s: %s", operation, kind)
            raise StoreAway(f"{operation}: {kind}") from error

    def _client(self, seconds: float) -> Any:
        with self._making:
            if seconds not in self._clients:
                limits = Config(
                    connect_timeout=CONNECT_SECONDS,
                    read_timeout=seconds,
                    retries={"total_max_attempts": 1, "mode": "standard"},
                    max_pool_connections=32,
                    # Digests are sent and compared here; others confuse older servers.
                    request_checksum_calculation="when_required",
                    response_checksum_validation="when_required",
                )
                self._clients[seconds] = self._create_session().client(
                    "s3",
                    region_name=self.region_name,
                    use_ssl=self.use_ssl,
                    endpoint_url=self.endpoint_url,
                    config=self.client_config.merge(limits),
                    verify=self.verify,
                )
            return self._clients[seconds]

    def told(self, operation: str, **said: Any) -> dict[str, Any] | None:
        """Return what the server tells of the bucket itself; None where it, or the key, does not.

        Not every server knows every question, and a key that may not ask is no store that is away.
        """
        try:
            answer: dict[str, Any] = getattr(self._client(READ_SECONDS), operation)(
                Bucket=self.bucket_name, **said
            )
        except (BotoCoreError, ClientError, HTTPError, OSError):
            return None
        return answer

    def begun_in_parts(self) -> list[Begun]:
        """Return the uploads in parts that nobody finished or took back, of the store's own place.

        A key that may not ask, or a server that does not know the question, tells of none.
        """
        place = f"{self.location}/" if self.location else ""
        found: list[Begun] = []
        more: dict[str, Any] = {}
        while answer := self.told("list_multipart_uploads", Prefix=place, **more):
            found += [
                Begun(one["Key"][len(place) :], one["UploadId"], one["Initiated"])
                for one in answer.get("Uploads", ())
                if one["Key"].startswith(place)
            ]
            if not answer.get("IsTruncated"):
                break
            more = {
                "KeyMarker": answer["NextKeyMarker"],
                "UploadIdMarker": answer["NextUploadIdMarker"],
            }
        return found

    def take_back(self, begun: Begun) -> bool:
        """Let the server forget an upload in parts; tell whether it did. Raises StoreAway."""
        try:
            self.ask(
                "abort_multipart_upload", Key=self.key_of(begun.name), UploadId=begun.upload_id
            )
        except ClientError:  # finished or forgotten meanwhile
            return False
        return True

    def key_of(self, name: str) -> str:
        """Return the key of the object that is stored under a name."""
        key: str = self._normalize_name(clean_name(name))
        return key

    def part(self, name: str, first: int = 0, length: int | None = None) -> IO[bytes]:
        """Open an object or a part of it. Raises FileNotFoundError, StoreAway."""
        if length == 0:
            return io.BytesIO()
        key = self.key_of(name)

        def fetch(begin: int, most: int, tag: str) -> Window:
            return self._fetch(key, begin, most, tag)

        return io.BufferedReader(ObjectReader(fetch, first=first, length=length), 64 * 1024)

    def _fetch(self, key: str, first: int, most: int, tag: str) -> Window:
        same: dict[str, Any] = {"IfMatch": tag} if tag else {}
        until = time.monotonic() + WINDOW_SECONDS
        try:
            return self.ask(
                "get_object",
                Key=key,
                Range=f"bytes={first}-{first + most - 1}",
                read=lambda answer: _window(answer, first, most, until),
                **same,
            )
        except ClientError as error:
            status = error.response["ResponseMetadata"]["HTTPStatusCode"]
            if status == 404:
                raise FileNotFoundError(f"No object {key}") from error
            if status == 416 and first == 0:
                return Window(0, b"", 0, tag)
            if status in {412, 416}:
                raise StoreFault("A stored file is not the one that it was.") from error
            raise _not_understood("get_object", error) from error

    def _open(self, name: str, mode: str = "rb") -> File[bytes]:
        if mode != "rb":
            raise ValueError("What is stored is only read.")
        return File(self.part(name), name)

    def _save(self, name: str, content: Any) -> str:
        if content.seekable():
            content.seek(0)
        self.send(name, content)
        return name

    def send(self, name: str, content: IO[bytes]) -> Sent:
        """Write an object, digested as it goes; nobody sees a part of it. Raises StoreAway."""
        return send_object(self._asked_to_write, self.key_of(name), content)

    def send_new(self, name: str, content: bytes) -> bool:
        """Write a small object where there is none; tell whether it was written. Raises StoreAway.

        A server that does not know the condition (PutObject, If-None-Match) writes it always.
        """
        said: dict[str, Any] = {"Key": self.key_of(name), "Body": content}
        try:
            self.ask("put_object", seconds=WRITE_SECONDS, IfNoneMatch="*", **said)
        except ClientError as error:
            status = error.response["ResponseMetadata"]["HTTPStatusCode"]
            if status in {409, 412}:
                return False
            if status not in {400, 501}:
                raise StoreFault("The file store did not take what was sent.") from error
            self._asked_to_write("put_object", **said)
        return True

    def _asked_to_write(self, operation: str, **said: Any) -> dict[str, Any]:
        try:
            answer: dict[str, Any] = self.ask(operation, seconds=WRITE_SECONDS, **said)
        except ClientError as error:
            log.warning("The file store refused %s: %s", operation, error.response["Error"]["Code"])
            raise StoreFault("The file store did not take what was sent.") from error
        return answer

    def copy(self, source: str, target: str, *, size: int) -> str | None:
        """Let the server copy an object; return the SHA-256 it computed, None if it tells none.

        Raises FileNotFoundError, StoreAway.
        """
        here, there = self.key_of(source), self.key_of(target)
        if size > COPY_AT_ONCE:
            assemble_object(self._asked_to_copy, self.bucket_name, there, [(here, size)])
            return None  # a server tells the digests of the parts, never one of the whole
        answer = self._asked_to_copy(
            "copy_object",
            # Not of one object many limits: each limit is a client of its own.
            seconds=WRITE_SECONDS if size < 8 * COPY_RATE else WRITE_SECONDS + 256.0,
            CopySource={"Bucket": self.bucket_name, "Key": here},
            Key=there,
            ChecksumAlgorithm="SHA256",
        )
        return digest_told(answer.get("CopyObjectResult", {}).get("ChecksumSHA256"))

    def assemble(self, sources: list[tuple[str, int]], target: str) -> None:
        """Let the server join objects (name and size of each). Raises StoreFault, StoreAway."""
        keys = [(self.key_of(name), size) for name, size in sources]
        assemble_object(self._asked_to_copy, self.bucket_name, self.key_of(target), keys)

    def _asked_to_copy(self, operation: str, *, seconds: float = 0, **said: Any) -> dict[str, Any]:
        try:
            answer: dict[str, Any] = self.ask(operation, seconds=seconds or WRITE_SECONDS, **said)
        except ClientError as error:
            if error.response["ResponseMetadata"]["HTTPStatusCode"] == 404:
                raise FileNotFoundError("What is to be copied is not there") from error
            raise StoreFault(
                "The file store did not copy a file from one of its places to another."
            ) from error
        return answer

    def delete(self, name: str) -> None:
        """Delete an object; one that is not there is no error. Raises StoreAway."""
        try:
            self.ask("delete_object", Key=self.key_of(name))
        except ClientError as error:
            if error.response["ResponseMetadata"]["HTTPStatusCode"] != 404:
                raise StoreFault("The file store did not delete a file.") from error

    def exists(self, name: str) -> bool:
        """Tell whether there is an object of this name. Raises StoreAway.

        Asked as a list: the answer to a plain look does not tell a missing object from a missing
        bucket, and a file of another server's bucket is not missing.
        """
        key = self.key_of(name)
        answer = self._listed(Prefix=key, MaxKeys=1)
        return any(one["Key"] == key for one in answer.get("Contents", ()))

    def listdir(self, name: str) -> tuple[list[str], list[str]]:
        """Return the names of folders and of files under a name. Raises StoreAway."""
        place = self.key_of(name)
        place = f"{place}/" if place and not place.endswith("/") else place
        folders: list[str] = []
        files: list[str] = []
        for answer in self._pages(place, Delimiter="/"):
            folders += [one["Prefix"][len(place) : -1] for one in answer.get("CommonPrefixes", ())]
            keys = (one["Key"][len(place) :] for one in answer.get("Contents", ()))
            files += [key for key in keys if key]
        return folders, files

    def walk(self, name: str = "") -> Iterator[tuple[str, int]]:
        """Yield name and size of every object under a name, page by page. Raises StoreAway."""
        place = self.key_of(name)
        begin = len(self.location) + 1 if self.location else 0
        for answer in self._pages(f"{place}/" if place else ""):
            for one in answer.get("Contents", ()):
                yield one["Key"][begin:], one["Size"]

    def _pages(self, prefix: str, **said: Any) -> Iterator[dict[str, Any]]:
        more: dict[str, Any] = {}
        while True:
            answer = self._listed(Prefix=prefix, **said, **more)
            yield answer
            if not answer.get("IsTruncated"):
                return
            more = {"ContinuationToken": answer["NextContinuationToken"]}

    def _listed(self, **said: Any) -> dict[str, Any]:
        try:
            answer: dict[str, Any] = self.ask("list_objects_v2", **said)
        except ClientError as error:
            raise _not_understood("list_objects_v2", error) from error
        return answer

    def size(self, name: str) -> int:
        """Return the size of an object in bytes. Raises FileNotFoundError, StoreAway."""
        length: int = self._head(name)["ContentLength"]
        return length

    def get_modified_time(self, name: str) -> datetime:
        """Return when an object was written. Raises FileNotFoundError, StoreAway."""
        moment: datetime = self._head(name)["LastModified"]
        return moment

    def digest_kept(self, name: str) -> str | None:
        """Return the SHA-256 that the server keeps of an object; None where it keeps none.

        Raises FileNotFoundError, StoreAway.
        """
        return digest_told(self._head(name, ChecksumMode="ENABLED").get("ChecksumSHA256"))

    def _head(self, name: str, **said: Any) -> dict[str, Any]:
        try:
            answer: dict[str, Any] = self.ask("head_object", Key=self.key_of(name), **said)
        except ClientError as error:
            if self.exists(name):
                raise _not_understood("head_object", error) from error
            raise FileNotFoundError(f"No object {name}") from error
        return answer


def _not_understood(operation: str, error: ClientError) -> StoreAway:
    """Return that a server answers, and not as a store: that says nothing of an object."""
    return StoreAway(f"{operation}: {error.response['Error']['Code']}", passing=False)


def digest_told(told: str | None) -> str | None:
    """Return a server's SHA-256 of a whole object as the office writes it.

    None for none, and for one of an object in parts (with a hyphen and their number), which is a
    digest of digests.
    """
    try:
        digest = base64.b64decode(told or "", validate=True)
    except binascii.Error:
        return None
    return digest.hex() if len(digest) == 32 else None


def _window(answer: dict[str, Any], first: int, most: int, until: float) -> Window:
    """Read a window from an answer. Raises StoreAway where it is cut, too slow or another part."""
    body = answer["Body"]
    try:
        said = str(answer.get("ContentRange", ""))
        where, _, total = said.removeprefix("bytes ").partition("/")
        if not said:  # the whole, from a server that knows no ranges
            size = int(answer["ContentLength"])
            if first or size > most:
                raise OSError("The server does not send a part of an object.")
        else:
            size = int(total)
            if int(where.partition("-")[0]) != first:
                raise OSError("The server sent another part.")
        wanted = min(most, size - first)
        pieces, length = [], 0
        while length < wanted:
            # One receive a time: whoever waits for a whole piece may wait for ever.
            piece = body._raw_stream.read1(wanted - length)
            if not piece:
                raise OSError("The answer was cut.")
            pieces.append(piece)
            length += len(piece)
            if time.monotonic() > until and length < wanted:
                if length < LEAST_WINDOW:
                    raise OSError("The answer comes too slowly.")
                body.close()
                break
    except ValueError as error:
        raise OSError("The answer can't be read.") from error
    except OSError:
        body.close()
        raise
    return Window(first, b"".join(pieces), size, answer.get("ETag", ""))
