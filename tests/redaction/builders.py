"""Documents, marks and copies as a page or the API would make them."""

from __future__ import annotations

import io
import json
from functools import cache
from typing import Any

import typst
from django.core.files.uploadedfile import SimpleUploadedFile

from cases.models import Case
from cases.redaction import actions, preparing, queries, reading
from cases.redaction.models import (
    DocumentRedaction,
    RedactedDocument,
    RedactionMark,
    RedactionReason,
)
from cases.redaction.pdf import program
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id

# Two pages; the name stands on both.
LETTER = """#set page(width: 8.5in, height: 11in)
#set text(lang: "en")
= Note of a neighbor
Marla Quince of 12 Alder Lane heard a fall at nine. She called Marla's sister.
#pagebreak()
Marla Quince signed this note."""


@cache
def letter_pdf(source: str = LETTER) -> bytes:
    """The letter as PDF."""
    return bytes(typst.compile(source.encode()))


def make_reason(by: Staff, number: str = "3", **fields: Any) -> RedactionReason:
    """A reason of the office's list."""
    entry = {"number": number, "words": "Name of a private person", "citation": "", **fields}
    return actions.add_redaction_reason(by, record_id=new_id(), entry=entry)


def add_document(by: Staff, case: Case, content: bytes = b"", **more: Any) -> DocumentRedaction:
    """A document that somebody added as a PDF."""
    upload = SimpleUploadedFile("letter.pdf", content or letter_pdf(), "application/pdf")
    key = more.pop("key", None) or new_id()
    values = {"name": "Letter of a neighbor", **more}
    return preparing.add_document(by, case_id=case.pk, record_id=key, upload=upload, **values)


def hide(
    by: Staff, document: DocumentRedaction, words: str, why: RedactionReason, *, page: int = 0
) -> list[RedactionMark]:
    """Mark every place of words, or those of one page."""
    found = reading.found_in(document.file, words)["places"]
    entries = [{**one, "id": new_id()} for one in found if page in (0, one["page"])]
    return preparing.mark(
        by, case_id=document.case_id, document_id=document.pk, entries=entries, why=why.pk
    )


def cover(
    by: Staff, document: DocumentRedaction, page: int, box: list[int], why: RedactionReason
) -> RedactionMark:
    """Mark an area of a page."""
    entry = {"id": new_id(), "page": page, "boxes": [box]}
    (made,) = preparing.mark(
        by, case_id=document.case_id, document_id=document.pk, entries=[entry], why=why.pk
    )
    return made


def ask_for_copy(by: Staff, document: DocumentRedaction, **more: Any) -> RedactedDocument:
    """The copy of a document, asked for with the marks as they stand."""
    seen = queries.choice_of(queries.document_of(document.case, document.pk))
    values = {"record_id": new_id(), "choice_sha256": seen, **more}
    return actions.request_redacted_document(
        by, case_id=document.case_id, document_id=document.pk, **values
    )


def answered_here(given: io.BytesIO, waits: int) -> bytes:
    """What the program that reads PDF answers, in this process."""
    asked = json.loads(given.read(int(given.read(program.HEAD))))
    return program.as_sent(*program.answered(asked, given.read()))


def source_of(document: DocumentRedaction):
    """The document as other rooms name it."""
    from cases.redaction.sources import source_in

    return source_in(document.case, document.source_kind, document.source_key)
