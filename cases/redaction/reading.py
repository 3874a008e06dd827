"""Asks the program that reads and redacts PDF; it has no database, no settings, and limits."""

from __future__ import annotations

import io
import json
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import IO, Any

from cases.redaction.pdf import limits, program
from cases.redaction.pdf.program import HEAD
from evidence import store
from evidence.store.models import StoredFile
from me_office.apart import read_apart
from me_office.audit.errors import Refused

PROGRAM = Path(program.__file__)
# By the clock of the wall; the processor's own limit is shorter.
LOOK_WAITS, BURN_WAITS = 90, 1200
BROKEN_STORE = "The stored file no longer has its digest. Tell an administrator."
MOST_FOUND = 500


def ask(content: bytes | IO[bytes], what: str, **asked: Any) -> tuple[dict[str, Any], bytes]:
    """Return what the program answers of a PDF, and the bytes that go with it. Raises Refused.

    A file is read from its beginning, piece by piece: nothing of it is held here.
    """
    if isinstance(content, bytes):
        content = io.BytesIO(content)
    if content.seek(0, io.SEEK_END) > limits.MOST_BYTES:
        raise Refused(limits.TOO_LARGE)
    content.seek(0)
    with tempfile.TemporaryFile() as given:
        given.write(program.as_sent({"what": what, **asked}, b""))
        shutil.copyfileobj(content, given)
        given.seek(0)
        out = _run(given, BURN_WAITS if what == "burn" else LOOK_WAITS)
    length = int(out[:HEAD])
    said: dict[str, Any] = json.loads(out[HEAD : HEAD + length])
    if "refused" in said:
        raise Refused(said["refused"])
    return said, out[HEAD + length :]


def _run(given: IO[bytes], waits: int) -> bytes:
    return read_apart(PROGRAM, given, seconds=waits, too_much=limits.TOO_MUCH, broken=limits.BROKEN)


def content_of(file: StoredFile) -> bytes:
    """Return the bytes of a stored document. Raises Refused, StoreAway."""
    if file.size_bytes > limits.MOST_BYTES:
        raise Refused(limits.TOO_LARGE)
    with tempfile.SpooledTemporaryFile(max_size=limits.MOST_BYTES) as here:
        with store.open_stored(file) as stored:
            shutil.copyfileobj(stored, here)
        here.seek(0)
        return here.read()


def whole_content_of(file: StoredFile) -> bytes:
    """Return the bytes of a stored document that has its digest still. Raises Refused."""
    if not store.is_whole(file):
        raise Refused(BROKEN_STORE)
    return content_of(file)


def pages_of(content: bytes | IO[bytes]) -> int:
    """Return how many pages a PDF has, if it can be redacted. Raises Refused."""
    said, _ = ask(content, "look")
    return int(said["pages"])


def sizes_of(file: StoredFile) -> list[list[float]]:
    """Return width and height of each page as it is seen, in points. Raises Refused."""
    said, _ = ask(content_of(file), "look")
    sizes: list[list[float]] = said["sizes"]
    return sizes


def picture_of(
    file: StoredFile, page: int, *, dots: int, marks: Sequence[Mapping[str, Any]] = ()
) -> bytes:
    """Return a page as JPEG; with marks, as it will look once they are burned. Raises Refused."""
    _, picture = ask(content_of(file), "page", page=page, dots=dots, marks=list(marks))
    return picture


def words_of(file: StoredFile, page: int) -> dict[str, Any]:
    """Return the size of a page and its words: first and last character, text, boxes."""
    said, _ = ask(content_of(file), "words", page=page)
    return said


def places_of(file: StoredFile, places: Sequence[Mapping[str, int]]) -> list[dict[str, Any]]:
    """Return places of the text, each with its words and boxes. Raises Refused."""
    said, _ = ask(content_of(file), "places", places=list(places))
    found: list[dict[str, Any]] = said["places"]
    return found


def found_in(file: StoredFile, words: str) -> dict[str, Any]:
    """Return every place of words in a document, up to MOST_FOUND. Raises Refused."""
    said, _ = ask(content_of(file), "find", words=words, most=MOST_FOUND)
    return said
