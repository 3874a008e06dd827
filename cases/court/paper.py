"""The original of a request: taken in, counted, and its pages as pictures."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import IO, Any
from uuid import UUID

from cases.access import Act, case_for
from cases.court import originals, paper_program, queries
from cases.court.models import Original
from evidence import store
from me_office.accounts.models import Staff
from me_office.audit.errors import Conflict, NotKnown, Refused

PROGRAM = Path(paper_program.__file__)
# By the clock of the wall; the processor's own limit is shorter.
LONGEST_SECONDS = 90
MOST_BYTES = 50 * 1024 * 1024
# How a file begins, and what it is then: as it was scanned, or as it was printed.
BEGINS = ((b"%PDF-", "application/pdf"), (b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG", "image/png"))
ENDINGS = {"application/pdf": "pdf", "image/jpeg": "jpg", "image/png": "png"}
PDF = "application/pdf"
CANNOT = (
    "This PDF cannot be read: it is damaged, protected by a password, or has no pages or more "
    f"than {paper_program.MOST_PAGES}. Scan or print it again."
)


def attach(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    upload: Any,
    reason: str = "",
) -> Original:
    """Take the paper in and attach it; one that was attached before is replaced, with the reason.

    Who may not is refused before a byte is stored; the action asks again. Raises NotKnown,
    NotAllowed, Refused, Conflict, Invalid.
    """
    case_for(actor, Act.HANDLE_REQUEST, case_id)
    queries.request_of(case_id, request_id)
    kind = _kind_of(upload)
    pages = count_pages(upload) if kind == PDF else 1
    upload.seek(0)
    try:
        with store.receive(upload, name=upload.name or "") as incoming:
            return originals.attach_original(
                actor,
                case_id=case_id,
                request_id=request_id,
                record_id=record_id,
                incoming=incoming.recognized(media_type=kind),
                pages=pages,
                reason=reason,
            )
    except store.Damaged as error:
        raise Conflict(str(error), field="upload") from error
    except store.StoreFault as error:
        raise Refused(f"{error} Send it again.", field="upload") from error


def _kind_of(upload: Any) -> str:
    """Return the media type of what was sent. Raises Refused."""
    if (upload.size or 0) > MOST_BYTES:
        raise Refused(f"This file is larger than {MOST_BYTES // 1024**2} MB.", field="upload")
    upload.seek(0)
    begins = upload.read(8)
    upload.seek(0)
    for beginning, kind in BEGINS:
        if begins.startswith(beginning):
            return kind
    raise Refused("This is neither a PDF nor a picture (JPEG, PNG).", field="upload")


def count_pages(file: IO[bytes]) -> int:
    """Return how many pages a PDF has. Raises Refused."""
    return int(_run(file, "count"))


def page_picture(original: Original, number: int) -> bytes:
    """Return a page of a PDF as JPEG. Raises NotKnown, Refused, StoreAway."""
    if original.file.media_type != PDF or not 1 <= number <= original.pages:
        raise NotKnown("There is no such page in the original.")
    with store.open_stored(original.file) as file:
        return _run(file, "draw", str(number))


def _run(file: IO[bytes], *asked: str) -> bytes:
    file.seek(0)
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(PROGRAM), *asked],
            input=file.read(),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=LONGEST_SECONDS,
            env={},
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise Refused(CANNOT, field="upload") from error
    if done.returncode:
        raise Refused(CANNOT, field="upload")
    return done.stdout
