"""Documents as one PDF: numbers below what a page shows, the same bytes again."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

import pikepdf
import pypdf
import pypdfium2
import pytest
from pikepdf import Array, Dictionary, Name, String
from PIL import ImageChops

from cases.answers.combining import STRIP_PT, CannotCombine, Part, combine, pages_of

AT = datetime(2026, 11, 30, 12, tzinfo=UTC)
WORDS = b"BT /F1 18 Tf 60 700 Td (Seen and recorded) Tj ET 0.2 0.4 0.6 rg 60 80 200 40 re f"


def page_with(pdf, content=WORDS, *, resources=None, **more):
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
    page = Dictionary(
        Type=Name.Page,
        MediaBox=Array([0, 0, 612, 792]),
        Resources=resources or Dictionary(Font=Dictionary(F1=font)),
        Contents=pdf.make_stream(content),
        **more,
    )
    pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
    return pdf.pages[-1]


@pytest.fixture
def source(tmp_path):
    """Write a PDF by a function that fills it, and return its path."""

    def write(fill, name="source.pdf", **saving):
        there = tmp_path / name
        with pikepdf.new() as pdf:
            fill(pdf)
            pdf.save(there, **saving)
        return there

    return write


def combined(tmp_path, *paths, first=7, name="whole.pdf"):
    there = tmp_path / name
    pages = combine(
        [Part(path, f"Document {index}") for index, path in enumerate(paths, start=1)],
        there, first=first, number=lambda number: f"TC-{number:04d}", prefix="TC-", digits=4,
        title="An answer", at=AT,
    )  # fmt: skip
    return there, pages


def picture(path, index=0):
    with pypdfium2.PdfDocument(path) as pdf:
        return pdf[index].render(scale=1).to_pil().convert("RGB")


@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_the_number_stands_upright_below_what_the_page_shows(turned, source, tmp_path):
    was = source(lambda pdf: page_with(pdf, Rotate=turned))
    there, _ = combined(tmp_path, was)
    before, after = picture(was), picture(there)
    assert after.size == (before.width, before.height + round(STRIP_PT))
    shown = after.crop((0, 0, before.width, before.height))
    assert ImageChops.difference(before, shown).getbbox() is None, "the page itself is as it was"
    strip = after.crop((0, before.height, after.width, after.height))
    left, top, right, bottom = ImageChops.invert(strip).getbbox()
    assert left > strip.width / 2
    assert strip.width - right >= 20
    assert right - left > 2 * (bottom - top), "it runs along the edge"
    assert "TC-0007" in pypdf.PdfReader(there).pages[0].extract_text()


def test_what_lay_outside_of_a_crop_is_not_uncovered(source, tmp_path):
    content = b"1 0 0 rg 0 0 612 792 re f 0 0 1 rg 100 100 300 400 re f"
    was = source(lambda pdf: page_with(pdf, content, CropBox=Array([100, 100, 400, 500])))
    there, _ = combined(tmp_path, was)
    after = picture(there)
    assert after.size == (300, 400 + round(STRIP_PT))
    assert (255, 0, 0) not in {color for _, color in after.getcolors(1 << 20)}


def test_a_page_that_leaves_its_state_open_moves_no_number(source, tmp_path):
    left_open = b"q 0.1 0 0 0.1 300 300 cm q " + WORDS
    closes_more = b"Q Q " + WORDS
    plain = source(lambda pdf: page_with(pdf), "plain.pdf")
    for name, content in (("open", left_open), ("closes", closes_more)):
        was = source(lambda pdf, content=content: page_with(pdf, content), f"{name}.pdf")
        strips = []
        for path in (was, plain):
            whole = picture(combined(tmp_path, path)[0])
            strips.append(whole.crop((0, 792, 612, 792 + round(STRIP_PT))))
        assert ImageChops.difference(*strips).getbbox() is None


def test_pages_that_share_what_they_draw_with_have_numbers_of_their_own(source, tmp_path):
    def fill(pdf):
        font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
        shared = pdf.make_indirect(Dictionary(Font=Dictionary(F1=font)))
        for _ in range(3):
            page_with(pdf, resources=shared)

    there, pages = combined(tmp_path, source(fill), first=9998)
    said = [page.extract_text() for page in pypdf.PdfReader(there).pages]
    assert pages == 3
    assert ["TC-9998" in said[0], "TC-9999" in said[1], "TC-10000" in said[2]] == [True] * 3
    assert pypdf.PdfReader(there).page_labels == ["TC-9998", "TC-9999", "TC-10000"]


def test_links_stay_inside_and_nothing_is_done_by_itself(source, tmp_path):
    def fill(pdf):
        first, second = page_with(pdf), page_with(pdf)
        script = Dictionary(S=Name.JavaScript, JS=String("app.alert(1)"))
        launch = Dictionary(S=Name.Launch, F=String("x.exe"))
        link = {"Type": Name.Annot, "Subtype": Name.Link, "Rect": Array([0, 0, 9, 9])}
        first.obj.Annots = Array([
            Dictionary(**link, Dest=String("there")),
            Dictionary(**link, A=launch),
            Dictionary(**link, A=Dictionary(S=Name.URI, URI=String("https://court.example/"))),
        ])  # fmt: skip
        first.obj.AA = Dictionary(O=script)
        pdf.Root.OpenAction = script
        goal = Array([second.obj, Name.Fit])
        pdf.Root.Names = Dictionary(Dests=Dictionary(Names=Array([String("there"), goal])))

    there, _ = combined(tmp_path, source(lambda pdf: page_with(pdf), "one.pdf"), source(fill))
    content = there.read_bytes()
    with pikepdf.open(there) as whole:
        inside, program, address = whole.pages[1].Annots
        assert inside.Dest[0] == whole.pages[2].obj
        assert Name.A not in program
        assert str(address.A.URI) == "https://court.example/"
        assert Name.OpenAction not in whole.Root
        assert Name.AA not in whole.pages[1]
    for told in (b"JavaScript", b"Launch", b"x.exe"):
        assert told not in content


def test_the_structure_of_untagged_documents_is_not_invented(source, tmp_path):
    there, _ = combined(tmp_path, source(lambda pdf: page_with(pdf)))
    with pikepdf.open(there) as whole:
        assert Name.StructTreeRoot not in whole.Root
        assert b"/Artifact" in whole.pages[0].Contents[-1].read_bytes()


def test_the_same_documents_and_numbers_give_the_same_bytes(source, tmp_path):
    was = source(lambda pdf: page_with(pdf))
    digests = [
        hashlib.sha256(combined(tmp_path, was, was, name=name)[0].read_bytes()).hexdigest()
        for name in ("one.pdf", "two.pdf")
    ]
    assert digests[0] == digests[1]


def test_what_is_locked_or_no_pdf_is_said(source, tmp_path):
    locked = source(
        lambda pdf: page_with(pdf), "locked.pdf", encryption=pikepdf.Encryption(user="a", owner="b")
    )
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(b"no PDF at all")
    for path in (locked, broken, tmp_path / "missing.pdf"):
        with pytest.raises(CannotCombine):
            pages_of(path)
