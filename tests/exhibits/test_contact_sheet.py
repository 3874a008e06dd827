"""The contact sheet as PDF, opened by pikepdf: its claims, its pages, pictures and words."""

from __future__ import annotations

import io

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from cases.exhibits import burning
from me_office.audit.models import AccessEvent
from tests.builders import make_case
from tests.exhibits.builders import (
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
)
from tests.packets.reading import pictures_in, squeezed, structure_of, text_of

pytestmark = pytest.mark.django_db


def fetched(desk, exhibit_set):
    """Fetch the sheet and open it."""
    keys = {"case_id": exhibit_set.case_id, "set_id": exhibit_set.pk}
    answer = desk.get(reverse("exhibits:contact-sheet-pdf", kwargs=keys))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Cache-Control"] == "no-store"
    return pikepdf.open(io.BytesIO(answer.content))


def test_it_claims_pdf_a_and_pdf_ua_and_embeds_its_faces(desk, vasko):
    made = make_set(vasko, make_case(by=vasko))
    make_exhibit(vasko, made, make_photograph(vasko, made.case), number="14", caption="The back")
    pdf = fetched(desk, made)
    # ISO 19005-3 and ISO 14289-1 name these properties (names from memory).
    with pdf.open_metadata() as meta:
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
        assert meta["pdfuaid:part"] == "1"
        assert meta["dc:title"] == "Contact sheet, Trial, county against Doe"
    assert bool(pdf.Root.MarkInfo.Marked)
    fonts = [font for page in pdf.pages for font in (page.resources.get("/Font") or {}).values()]
    for font in fonts:
        descriptor = font.DescendantFonts[0].FontDescriptor
        assert "/FontFile2" in descriptor or "/FontFile3" in descriptor
    figures = [element for element in structure_of(pdf) if element.S == "/Figure"]
    assert [str(figure.Alt) for figure in figures] == ["Exhibit 14: The back"]


def test_it_says_number_caption_findings_and_the_originals_digest(desk, vasko):
    made = make_set(vasko, make_case(by=vasko), cause_number="26-CF-0117")
    photograph = make_photograph(vasko, made.case)
    link_contusion(vasko, made.case, photograph)
    make_exhibit(vasko, made, photograph, number="14-A", caption="*The* #back [sic]")
    words = squeezed(text_of(fetched(desk, made)))
    for said in (
        "Trial, county against Doe", "1 exhibit · Circuit Court · cause 26-CF-0117",
        "Exhibit 14-A", "photograph 1", "*The* #back [sic]", "finding 4 contusion",
        photograph.file.sha256[:16], "page 1 of 1",
    ):  # fmt: skip
        assert squeezed(said) in words, said
    assert AccessEvent.objects.filter(what="contact sheet", record_id=str(made.pk)).count() == 1


def test_a_redacted_photograph_is_printed_as_its_redacted_copy(desk, vasko):
    made = make_set(vasko, make_case(by=vasko))
    photograph = make_photograph(vasko, made.case)
    make_exhibit(vasko, made, photograph)
    make_redaction(vasko, photograph)
    pdf = fetched(desk, made)
    (shown,) = pictures_in(pdf)
    assert shown.getpixel((60, 50)) == pytest.approx(burning.COVER_COLOR, abs=3)
    assert "redactedcopy" in squeezed(text_of(pdf))


def test_nine_stand_on_a_page_and_no_statement_more_is_needed_for_many(desk, vasko):
    made = make_set(vasko, make_case(by=vasko))
    counts = []
    for wanted in (3, 13):
        for seed in range(made.exhibits.count() + 1, wanted + 1):
            make_exhibit(vasko, made, make_photograph(vasko, made.case, seed))
        with CaptureQueriesContext(connection) as statements:
            pdf = fetched(desk, made)
        counts.append(len(statements))
    assert counts[0] == counts[1] <= 15
    assert len(pdf.pages) == 2
    assert [len(page.get_images()) for page in pdf.pages] == [9, 4]
    assert all(max(picture.size) <= 720 for picture in pictures_in(pdf))
    assert isinstance(pictures_in(pdf)[0], Image.Image)


def test_an_empty_set_says_so(desk, vasko):
    pdf = fetched(desk, make_set(vasko, make_case(by=vasko)))
    assert "Noexhibitsinthissetyet." in squeezed(text_of(pdf))
