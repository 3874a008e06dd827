"""The original of a request: taken in, counted, and its pages as pictures."""

from __future__ import annotations

from pathlib import Path
from typing import IO, Any
from uuid import UUID

from cases.access import Act, case_for
from cases.court import originals, paper_program, queries
from cases.court.models import Original
from evidence import store
from evidence.store.uploads import kind_of_paper, taken_in
from me_office.accounts.models import Staff
from me_office.apart import read_apart
from me_office.audit.errors import NotKnown

PROGRAM = Path(paper_program.__file__)
# By the clock of the wall; the processor's own limit is shorter.
LONGEST_SECONDS = 90
MOST_BYTES = 50 * 1024 * 1024
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
    kind = kind_of_paper(upload, most_bytes=MOST_BYTES)
    pages = count_pages(upload) if kind == PDF else 1
    upload.seek(0)
    with taken_in(upload, kind) as incoming:
        return originals.attach_original(
            actor,
            case_id=case_id,
            request_id=request_id,
            record_id=record_id,
            incoming=incoming,
            pages=pages,
            reason=reason,
        )


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
    return read_apart(
        PROGRAM, file.read(), *asked, seconds=LONGEST_SECONDS, too_much=CANNOT, broken=CANNOT,
        field="upload",
    )  # fmt: skip
