"""PDFs are read in a process of their own, with limits; what cannot be read is said in words."""

from __future__ import annotations

import io
import json
import subprocess
import sys

import pikepdf
import pytest

from cases.statements import actions, pdf_text, queries, reading, tasks
from cases.statements.models import Statement
from me_office.audit.errors import Refused
from me_office.jobs.rules import JobState
from tests.statements.builders import add_pdf, mark, picture_pdf, transcript_pdf

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("processes")]


def protected(content: bytes) -> bytes:
    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        pdf.save(made, encryption=pikepdf.Encryption(owner="a", user="b"))
    return made.getvalue()


def test_a_pdf_is_read_by_a_worker_with_its_printed_numbers(vasko, case):
    made = add_pdf(vasko, case, transcript_pdf())
    assert not made.is_read
    with pytest.raises(Refused, match="not read yet"):
        mark(vasko, made, (31, 2, 31, 2))
    assert tasks.read_statement(request_id=str(made.pk)) == "made"
    assert tasks.read_statement(request_id=str(made.pk)) == "nothing to do"
    made.refresh_from_db()
    assert (made.pages_read, made.lines_printed) == (2, True)
    assert queries.page_numbers(made) == [31, 32]
    assert mark(vasko, made, (31, 2, 31, 2)).words == "A. About ten centimeters."


def test_a_pdf_that_was_not_read_says_why_and_is_tried_again_or_dismissed(vasko, case):
    made = add_pdf(vasko, case, picture_pdf())
    keys = {"case_id": case.pk, "statement_id": made.pk}
    assert tasks.read_statement(request_id=str(made.pk)) == "failed"
    made.refresh_from_db()
    assert (made.state, made.failure) == (JobState.FAILED, pdf_text.NO_TEXT)
    again = actions.retry_statement_reading(vasko, **keys, version=made.version)
    assert (again.state, again.failure) == (JobState.WAITING, "")
    assert tasks.read_statement(request_id=str(made.pk)) == "failed"
    made.refresh_from_db()
    actions.abandon_statement(vasko, **keys, version=made.version)
    assert not Statement.objects.active().exists()


CANNOT = [
    (lambda: protected(transcript_pdf()), pdf_text.LOCKED),
    (lambda: b"%PDF-1.7\n" + b"\x00\xff" * 400, pdf_text.BROKEN),
    (lambda: transcript_pdf()[:900], pdf_text.BROKEN),
    (lambda: b"%PDF-1.7\n" + b"[" * 100_000, pdf_text.BROKEN),
]


@pytest.mark.parametrize(("content", "why"), CANNOT, ids=["locked", "junk", "cut", "deep"])
def test_what_cannot_be_read_is_said_in_words(content, why):
    assert pdf_text.read(io.BytesIO(content())) == {"refused": why}


def test_what_is_no_pdf_or_too_large_is_refused_before_it_is_kept(vasko, case, monkeypatch):
    with pytest.raises(Refused, match="This is not a PDF"):
        add_pdf(vasko, case, b"MZ" + b"\x00" * 2000)
    monkeypatch.setattr(reading, "MOST_PDF_BYTES", len(transcript_pdf()))
    assert add_pdf(vasko, case, transcript_pdf())
    monkeypatch.setattr(reading, "MOST_PDF_BYTES", len(transcript_pdf()) - 1)
    with pytest.raises(Refused, match="larger than"):
        add_pdf(vasko, case, transcript_pdf())


def test_the_program_that_reads_has_limits_and_writes_no_file(tmp_path):
    tries = (
        "import sys; sys.path.insert(0, sys.argv[1]); import pdf_text; pdf_text.limit()\n"
        "said = []\n"
        "try: bytearray(pdf_text.MEMORY_BYTES)\n"
        "except MemoryError: said.append('memory')\n"
        "try:\n"
        "    with open(sys.argv[2], 'w') as file: file.write('x')\n"
        "except OSError: said.append('file')\n"
        "import json; print(json.dumps(said))\n"
    )
    there = tmp_path / "written"
    done = subprocess.run(
        [sys.executable, "-I", "-c", tries, str(reading.PROGRAM.parent), str(there)],
        stdout=subprocess.PIPE, check=True,
    )  # fmt: skip
    assert json.loads(done.stdout) == ["memory", "file"]


def test_a_pdf_of_too_many_pages_is_refused_at_the_limit(monkeypatch):
    two = io.BytesIO(transcript_pdf())
    monkeypatch.setattr(pdf_text, "MOST_PAGES", 2)
    assert len(pdf_text.read(two)["pages"]) == 2
    monkeypatch.setattr(pdf_text, "MOST_PAGES", 1)
    assert pdf_text.read(two) == {"refused": pdf_text.TOO_LONG}
    monkeypatch.setattr(pdf_text, "MOST_PAGES", 2)
    monkeypatch.setattr(pdf_text, "MOST_CHARACTERS", 100)
    assert pdf_text.read(two) == {"refused": pdf_text.TOO_MUCH}
