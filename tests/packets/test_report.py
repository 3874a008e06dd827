"""The report as PDF, opened by pikepdf: PDF/A-3b and PDF/UA-1 claims, tags, text, pictures.

ISO 19005-3 (PDF/A-3) and ISO 14289-1 (PDF/UA-1) name the XMP properties `pdfaid:part`,
`pdfaid:conformance` and `pdfuaid:part` (property names from memory). Typst refuses to compile
what breaks the rules it checks for them; these tests see what it wrote.
"""

from __future__ import annotations

import hashlib
import io

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.packets.material import material_of
from cases.packets.printing import print_report, report_values
from cases.review import actions as review
from cases.review.models import ReportDraft
from me_office.audit.ids import new_id
from tests.builders import make_case
from tests.evidence.pictures import add, picture_bytes
from tests.packets.builders import amend, examined_case, make_people, send, sign, signed_case
from tests.packets.reading import squeezed, structure_of, text_of

pytestmark = pytest.mark.django_db


def printed(case, *, with_photographs=True):
    """Print the report of a case and open it."""
    report = print_report(material_of(case.pk), with_photographs=with_photographs)
    opened = pikepdf.open(io.BytesIO(report.pdf))
    assert len(opened.pages) == report.pages
    return opened


@pytest.fixture(scope="module")
def _signed_once(made_once):
    """The file's signed case: two photographs that a PDF cannot keep as one."""
    return made_once(lambda: signed_case(pictures=[picture_bytes(1), picture_bytes(200)]))


@pytest.fixture(scope="module")
def pdf(made_once, _signed_once):
    """The report of `signed` with its photographs: printed once, changed by no test."""
    return made_once(lambda: printed(_signed_once))


def test_it_claims_pdf_a_and_pdf_ua_and_is_tagged(pdf):
    with pdf.open_metadata() as meta:
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
        assert meta["pdfuaid:part"] == "1"
        assert meta["dc:title"].startswith("Report of examination, case 2026-")
    assert bool(pdf.Root.MarkInfo.Marked)
    assert str(pdf.Root.Lang).startswith("en")
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    assert pdf.Root.Outlines.Count != 0
    assert not pdf.is_encrypted
    assert pdf.Root.OutputIntents[0].S == "/GTS_PDFA1"


def test_every_font_is_embedded(pdf):
    fonts = [font for page in pdf.pages for font in (page.resources.get("/Font") or {}).values()]
    assert fonts
    for font in fonts:
        descriptor = font.DescendantFonts[0].FontDescriptor
        assert "/FontFile2" in descriptor or "/FontFile3" in descriptor
        assert "Source" in str(font.BaseFont)


def test_every_picture_and_drawing_has_words_for_those_who_cannot_see_it(pdf):
    figures = [element for element in structure_of(pdf) if element.S == "/Figure"]
    words = [str(figure.Alt) for figure in figures]
    assert len(figures) == 4
    assert "Photograph 1: Chest from the front, 1." in words
    front = next(one for one in words if one.startswith("Body chart, adult male, front."))
    assert "Mark 1: contusion" in front
    kinds = {str(element.S) for element in structure_of(pdf)}
    assert {"/H1", "/H2", "/P", "/Table", "/TH", "/TD", "/Link"} <= kinds


def test_the_pages_say_what_was_signed(pdf, signed):
    text = squeezed(text_of(pdf))
    draft = ReportDraft.objects.get(case=signed)
    for section in draft.content["sections"]:
        assert squeezed(section["title"]) in text
        for passage in section["passages"]:
            assert squeezed(passage["text"]) in text
    assert draft.sha256 in text
    for words in (
        "I. Vasko, MD",
        "M. Thorne, MD",
        "bya licensed pathologist",
        "Refrigerator2",
    ):
        assert squeezed(words) in text
    assert "DRAFT" not in text


def test_the_signed_text_travels_inside_the_document_under_its_digest(pdf, signed):
    (name,) = pdf.attachments
    content = pdf.attachments[name].get_file().read_bytes()
    draft = ReportDraft.objects.get(case=signed)
    assert name == "signed-text.json"
    assert hashlib.sha256(content).hexdigest() == draft.sha256
    # ISO 19005-3, 6.8: an embedded file says how it relates to the document (from memory).
    assert pdf.Root.AF[0].AFRelationship == "/Source"


def test_photographs_are_printed_only_when_asked_for(pdf, signed):
    def pictures(opened):
        return sum(len(page.get_images()) for page in opened.pages)

    assert pictures(pdf) == 2
    without = printed(signed, with_photographs=False)
    assert pictures(without) == 0
    assert "Photographlog" in squeezed(text_of(without))


def test_what_people_wrote_is_never_read_as_markup():
    vasko, thorne = make_people()
    hostile = '#panic("x") *bold* $x^2$ <label> @ref `code` // gone \\ #read("/etc/hostname")'
    case = examined_case(vasko, term="Contusion #1 [sic]", family_name="O'Hal*l_s#tead")
    add(vasko, case, picture_bytes(77), shows=hostile)
    sign(case, vasko, thorne)
    text = squeezed(text_of(printed(case)))
    assert squeezed(hostile) in text
    assert squeezed("O'Hal*l_s#tead") in text


def test_letters_without_a_glyph_are_named():
    vasko, thorne = make_people()
    case = examined_case(vasko, family_name="李", given_names="Łucja Öz")
    add(vasko, case, picture_bytes(78), shows="A note 😀 in the pocket")
    sign(case, vasko, thorne)
    text = squeezed(text_of(printed(case)))
    assert squeezed("Łucja Öz [U+674E]") in text
    assert squeezed("A note [U+1F600] in the pocket") in text


def test_a_draft_says_on_every_page_that_it_is_not_signed():
    vasko, thorne = make_people()
    case = examined_case(vasko)
    being_written = printed(case)
    assert list(being_written.attachments) == []
    for page in being_written.pages:
        one = pikepdf.new()
        one.pages.append(page)
        assert "DRAFT·notsigned" in squeezed(text_of(one))
    draft = send(case, vasko)
    assert "DRAFT1of" in squeezed(text_of(printed(case)))
    review.return_report(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, words="Again."
    )
    assert "sentback,notsigned" in squeezed(text_of(printed(case)))


def test_an_amendment_is_named_on_the_first_page(signed):
    _, thorne = make_people()
    amend(signed, thorne, amends="He died", text="He died at once.", why="Misread")
    pdf = printed(signed)
    first = pikepdf.new()
    first.pages.append(pdf.pages[0])
    assert "Addedaftersign-off:amendment1." in squeezed(text_of(first))
    assert "Inplaceof:Hedied" in squeezed(text_of(pdf))


def test_a_case_without_examination_prints_too():
    pdf = printed(make_case(state="reported"))
    assert "Notsigned." in squeezed(text_of(pdf))


def test_links_lead_from_words_to_mark_and_photograph(pdf):
    targets = [
        annotation.get("/Dest") or annotation.A.D
        for page in pdf.pages
        for annotation in page.get("/Annots", [])
    ]
    # Words to chart, chart to words, words and chart and log to photograph, the contents.
    assert len(targets) >= 8


def test_everything_is_read_in_a_fixed_number_of_statements(signed):
    vasko, thorne = make_people()
    many = [picture_bytes(shade) for shade in range(100, 130)]
    many_case = sign(examined_case(vasko, pictures=many), vasko, thorne)

    def statements(case):
        with CaptureQueriesContext(connection) as seen:
            report_values(material_of(case.pk), with_photographs=True)
        return len(seen)

    assert statements(signed) == statements(many_case) <= 15
