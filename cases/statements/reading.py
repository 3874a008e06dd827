"""From a file or a pasted text to a kept statement, and from its PDF to pages."""

from __future__ import annotations

import io
import json
import shutil
import tempfile
from pathlib import Path
from typing import IO, Any
from uuid import UUID

from cases.access import Act, case_for
from cases.statements import actions, pdf_text
from cases.statements.models import Statement
from cases.statements.paging import Page, WrongText, numbered, pages_of_text
from cases.statements.rules import MOST_PDF_BYTES, MOST_TEXT_BYTES
from evidence import store
from evidence.store.uploads import said_beside
from me_office.accounts.models import Staff
from me_office.apart import read_apart
from me_office.audit.errors import Refused
from me_office.entries import Entry
from me_office.jobs.running import Stage

PDF, TEXT = "application/pdf", "text/plain"
PROGRAM = Path(pdf_text.__file__)
# By the clock of the wall; the processor's own limit is shorter.
LONGEST_SECONDS = 300


def add(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    upload: Any = None,
    text: str = "",
    reason: str = "",
) -> Statement:
    """Keep a statement that comes as a PDF, or as text.

    Who may not is refused before a byte is stored; the action asks again. Raises NotKnown,
    NotAllowed, Refused, Conflict, Invalid.
    """
    case_for(actor, Act.KEEP_STATEMENTS, case_id)
    if bool(upload) == bool(text.strip()):
        raise Refused("Choose a PDF or paste the text, one of the two.", field="upload")
    if upload:
        _check_pdf(upload)
        file, name, kind, pages = upload, upload.name or "", PDF, []
    else:
        pages = _pages(text, entry.get("first_page"))
        # As it was given, but for the ends of lines: what a browser sends has others.
        kept = text.replace("\r\n", "\n").replace("\r", "\n")
        file, name, kind = io.BytesIO(kept.encode()), "", TEXT
    with said_beside(), store.receive(file, name=name) as incoming:
        return actions.add_statement(
            actor,
            case_id=case_id,
            record_id=record_id,
            incoming=incoming.recognized(media_type=kind),
            pages=pages,
            entry=entry,
            reason=reason,
        )


def _check_pdf(upload: Any) -> None:
    if (upload.size or 0) > MOST_PDF_BYTES:
        raise Refused(
            f"This file is larger than {MOST_PDF_BYTES // 1024**2} MB. Add it in parts.",
            field="upload",
        )
    upload.seek(0)
    begins = upload.read(1024)
    upload.seek(0)
    if b"%PDF-" not in begins:
        raise Refused("This is not a PDF.", field="upload")


def _pages(text: str, first_page: int | None) -> list[Page]:
    if len(text.encode()) > MOST_TEXT_BYTES:
        raise Refused(
            f"This text is larger than {MOST_TEXT_BYTES // 1024**2} MB. Add it in parts.",
            field="text",
        )
    try:
        return pages_of_text(text, first_page=first_page)
    except WrongText as error:
        raise Refused(str(error), field="text") from error


def make(asked: Statement, *, reached: Stage = lambda stage: None) -> Statement:
    """Read the pages of a statement's PDF and keep them, by one action as the last step.

    Raises OfficeError.
    """
    reached("read")
    if not store.is_whole(asked.file):
        raise Refused("The stored file no longer has its digest. Tell an administrator.")
    with tempfile.TemporaryFile() as here:
        with store.open_stored(asked.file) as file:
            shutil.copyfileobj(file, here)
        here.seek(0)
        pages = pages_of_pdf(here, first_page=asked.first_page)
    reached("publish")
    return actions.finish_statement_reading(
        asked.created_by, request_id=asked.pk, attempt=asked.attempts, pages=pages
    )


def pages_of_pdf(file: IO[bytes], *, first_page: int | None = None) -> list[Page]:
    """Return the pages of a PDF that lies on this machine. Raises Refused.

    A process of its own reads it.
    """
    printed = read_apart(
        PROGRAM, file, seconds=LONGEST_SECONDS, too_much=pdf_text.TOO_MUCH, broken=pdf_text.BROKEN
    )
    said = json.loads(printed)
    if "refused" in said:
        raise Refused(said["refused"])
    try:
        return numbered(said["pages"], first_page=first_page)
    except WrongText as error:
        raise Refused(str(error)) from error
