"""Statements as a page or the API would add them."""

from __future__ import annotations

import io
from datetime import date
from functools import cache
from typing import Any

import typst
from django.core.files.uploadedfile import SimpleUploadedFile

from cases.models import Case
from cases.statements import actions, reading
from cases.statements.actions import Linked
from cases.statements.models import Statement, StatementPassage
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id

# Two pages of a transcript as it is pasted, with printed line numbers.
TRANSCRIPT = """Page 31
 1   Q. Doctor, how large was the bruise on the chest?
 2   A. About ten centimeters.
 3   Q. On which side?
 4   A. On the left side of the chest.
 5
Page 32
 1   Q. How many blows?
 2   A. Two blows, I would say.
 3   Q. Thank you.
 4   A. At least two.
"""


def statement_entry(**fields: Any) -> dict[str, Any]:
    return {
        "kind": "deposition",
        "given_on": date(2026, 11, 2),
        "speaker": "Dr. I. Vasko",
        "spoken_to": "M. Orrin, counsel for the defense",
        "cause_number": "26-CF-0117",
        "taken_down": "certified",
        **fields,
    }


def add_text(by: Staff, case: Case, text: str = TRANSCRIPT, **fields: Any) -> Statement:
    """A statement that was pasted."""
    key = fields.pop("key", None) or new_id()
    entry = statement_entry(**fields)
    return reading.add(by, case_id=case.pk, record_id=key, entry=entry, text=text)


def add_pdf(by: Staff, case: Case, content: bytes, **fields: Any) -> Statement:
    """A statement that came as a PDF; nothing has read it yet."""
    key = fields.pop("key", None) or new_id()
    upload = SimpleUploadedFile("deposition.pdf", content, "application/pdf")
    entry = statement_entry(**fields)
    return reading.add(by, case_id=case.pk, record_id=key, entry=entry, upload=upload)


def mark(by: Staff, of: Statement, place: tuple[int, int, int, int], **about: Any):
    """Mark lines; `about` names findings, photographs, exhibits or topics."""
    key = about.pop("key", None) or new_id()
    names = ("from_page", "from_line", "to_page", "to_line")
    linked = Linked(**(about or {"topics": ["Size"]}))
    return actions.mark_passage(
        by,
        case_id=of.case_id,
        statement_id=of.pk,
        record_id=key,
        entry=dict(zip(names, place, strict=True)),
        linked=linked,
    )


def passage_again(passage: StatementPassage) -> StatementPassage:
    return StatementPassage.objects.get(pk=passage.pk)


@cache
def transcript_pdf(first: int = 31, pages: int = 2) -> bytes:
    """A transcript of two pages as a reporter prints it: page number above, lines numbered."""
    words = [
        [f"Q. Question {n} on page {page}?" if n % 2 else "A. About ten centimeters."
         for n in range(1, 26)]
        for page in range(first, first + pages)
    ]  # fmt: skip
    made = []
    for number, lines in enumerate(words, start=first):
        rows = "".join(
            f'#grid(columns: (2em, 1fr), gutter: 1em, [{n}], text("{line}"))\n'
            for n, line in enumerate(lines, start=1)
        )
        made.append(f"#align(right)[{number}]\n{rows}")
    source = "#set page(width: 8.5in, height: 11in)\n" + "\n#pagebreak()\n".join(made)
    return bytes(typst.compile(source.encode()))


@cache
def picture_pdf() -> bytes:
    """A PDF of one page that holds no text."""
    return bytes(typst.compile(b"#rect(width: 5cm, height: 5cm, fill: black)"))


def opened(content: bytes) -> io.BytesIO:
    return io.BytesIO(content)
