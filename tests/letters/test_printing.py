"""A letter as PDF: what it says, page of pages, and where the window shows the address."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from cases.letters.printing import file_name, letter_values, print_letter
from tests.letters.builders import AT, loose


@pytest.fixture
def office(settings):
    settings.OFFICE_NAME = "Office of the Medical Examiner, Hale"
    settings.OFFICE_ADDRESS = "4 Weir Street\nHale"
    settings.OFFICE_PHONE = "555 0100"


def read(letter, **more):
    printed = print_letter(letter, at=AT, **more)
    pages = [one.extract_text() for one in PdfReader(io.BytesIO(printed.pdf)).pages]
    assert printed.pages == len(pages)
    return printed.pdf, pages


def test_a_letter_is_printed_whole(office):
    letter = loose(body="To A. Pell:\n\n#strong[x] $y$ is typed.\n\n1. One\n2. Two")
    pdf, [page] = read(letter)
    for said in (
        "Office of the Medical Examiner, Hale", "4 Weir Street · Hale", "telephone 555 0100",
        "A. Pell", "12 Quarry Road", "30 Nov 2026", "2026-0118-L3", "CR-26-01177",
        "Your subpoena", "#strong[x] $y$ is typed.", "Sincerely,", "R. Ostrander",
        "Invoice 2026-014", "page 1 of 1",
    ):  # fmt: skip
        assert said in page, said
    assert "Draft" not in page
    assert b"pdfaid" in pdf and b"pdfuaid" in pdf
    assert print_letter(letter, at=AT).pdf == pdf


def test_the_address_stands_in_the_window_and_the_text_below_it(office):
    six = "\n".join(f"Line {n}" for n in range(1, 7))
    at: dict[str, float] = {}

    def note(text, cm, tm, _font, _size):
        for word in ("A. Pell", "Line 6", "Your subpoena"):
            if word in text:
                at.setdefault(word, (792 - (tm[5] * cm[3] + cm[5])) / 72)

    pdf, _ = read(loose(address=six, body="x"))
    PdfReader(io.BytesIO(pdf)).pages[0].extract_text(visitor_text=note)
    assert 2.0 <= at["A. Pell"] <= 2.25
    assert at["Line 6"] <= 3.5
    assert at["Your subpoena"] >= 3.5


def test_a_draft_says_so_on_every_page_and_shows_its_gaps(office):
    letter = loose(body="\n\n".join(["Words of some length, again."] * 80) + " {fill in: why}")
    _, pages = read(letter, draft=True)
    assert len(pages) > 2
    assert all("Draft, not sent" in one for one in pages)
    assert "fill in: why" in "".join(pages)
    assert f"page 2 of {len(pages)}" in pages[1]


def test_values_are_plain_and_the_file_is_named_by_the_reference(office):
    values = letter_values(loose(address="\n Hale \n\n"))
    assert values["to"] == ["A. Pell", "Hale"]
    assert values["paragraphs"][0] == [{"words": "To A. Pell:", "gap": False}]
    assert file_name(loose(reference="2026-0118-L3")) == "letter-2026-0118-L3.pdf"
