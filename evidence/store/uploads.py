"""A paper that somebody uploads: told by how it begins, taken in, and named when it goes out again.

What is wrong with it is said beside the field `upload`, in the page and in the API alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from evidence.store.faults import StoreFault
from evidence.store.incoming import Incoming, receive
from evidence.store.models import StoredFile
from evidence.store.publishing import Damaged
from me_office.audit.errors import Conflict, Refused

PDF: Final = "application/pdf"
# How a file begins, and what it is then: as it was printed, or as it was scanned.
_BEGINS: Final = ((b"%PDF-", PDF), (b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG", "image/png"))
_ENDINGS: Final = {PDF: "pdf", "image/jpeg": "jpg", "image/png": "png"}


def kind_of_paper(upload: Any, *, most_bytes: int) -> str:
    """Return the media type of what was sent. Raises Refused."""
    if (upload.size or 0) > most_bytes:
        raise Refused(f"This file is larger than {most_bytes // 1024**2} MB.", field="upload")
    upload.seek(0)
    begins = upload.read(8)
    upload.seek(0)
    for beginning, kind in _BEGINS:
        if begins.startswith(beginning):
            return kind
    raise Refused("This is neither a PDF nor a picture (JPEG, PNG).", field="upload")


@contextmanager
def said_beside(field: str = "upload") -> Iterator[None]:
    """Say beside a field what the store finds wrong with a file. Raises Conflict, Refused."""
    try:
        yield
    except Damaged as error:
        raise Conflict(str(error), field=field) from error
    except StoreFault as error:
        raise Refused(f"{error} Send it again.", field=field) from error


@contextmanager
def taken_in(upload: Any, media_type: str) -> Iterator[Incoming]:
    """Take a file in as what it was told to be, for an action that puts it in its place."""
    with said_beside(), receive(upload, name=upload.name or "") as incoming:
        yield incoming.recognized(media_type=media_type)


def name_of_paper(file: StoredFile, called: str) -> str:
    """Return the name under which a paper leaves the office: what it is, which one, its ending."""
    return f"{called}-{file.sha256[:12]}.{_ENDINGS[file.media_type]}"
