"""PDF from elsewhere: limits in words, and nothing active in what is put together."""

from __future__ import annotations

import zlib

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from cases.answers import fitting
from cases.answers.combining import CannotCombine, pages_of
from cases.answers.fitting import why_unfit
from tests.answers.test_combining import combined, page_with, source

__all__ = ["source"]


@pytest.mark.parametrize(
    ("box", "unit", "why"),
    [
        ([0, 0, 612, 792], 1, ""),
        ([0, 0, 14_400, 14_400], 1, ""),
        ([0, 0, 14_401, 792], 1, fitting.WRONG_SIZE),
        ([0, 0, 612, 792], 100, fitting.WRONG_SIZE),
        ([0, 0, 0, 792], 1, fitting.WRONG_SIZE),
        ([0, 0, 1e30, 1e30], 1, fitting.WRONG_SIZE),
        ([5e6, 0, 5e6 + 612, 792], 1, fitting.WRONG_SIZE),
    ],
)
def test_a_page_has_the_size_of_a_page(box, unit, why):
    with pikepdf.new() as pdf:
        page = page_with(pdf)
        page.obj.MediaBox, page.obj.UserUnit = Array(box), unit
        assert why_unfit(pdf) == why


def test_pages_and_objects_and_what_a_page_draws_are_counted(monkeypatch):
    with pikepdf.new() as pdf:
        assert why_unfit(pdf) == fitting.NO_PAGES
        page = page_with(pdf)
        assert why_unfit(pdf) == ""
        packed = zlib.compress(bytes(300_000), 9)
        page.obj.Contents = pdf.make_stream(b"")
        page.obj.Contents.write(packed, filter=Name.FlateDecode)
        monkeypatch.setattr(fitting, "MOST_CONTENT", 300_000)
        assert why_unfit(pdf) == ""
        monkeypatch.setattr(fitting, "MOST_CONTENT", 299_999)
        assert why_unfit(pdf) == fitting.DRAWS_TOO_MUCH
        half = pdf.make_stream(bytes(150_000))
        page.obj.Contents = Array([half, pdf.make_stream(bytes(150_000))])
        assert why_unfit(pdf) == fitting.DRAWS_TOO_MUCH
        page.obj.Contents = half
        page_with(pdf)
        monkeypatch.setattr(fitting, "MOST_PAGES", 1)
        assert why_unfit(pdf) == fitting.TOO_LONG
        monkeypatch.setattr(fitting, "MOST_OBJECTS", 1)
        assert why_unfit(pdf) == fitting.TOO_MUCH


def test_what_is_locked_or_broken_is_said(source, tmp_path):
    for owner, user in (("a", ""), ("a", "b")):
        rights = pikepdf.Encryption(owner=owner, user=user)
        locked = source(page_with, "locked.pdf", encryption=rights)
        with pytest.raises(CannotCombine, match="password or by rights"):
            pages_of(locked)
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(b"%PDF-1.7\nnothing")
    with pytest.raises(CannotCombine, match="can't be opened"):
        pages_of(broken)


def test_no_program_and_no_file_goes_into_the_whole(source, tmp_path):
    secret = b"a file that nobody decided about"

    def fill(pdf):
        page = page_with(pdf)
        file = pdf.make_indirect(
            Dictionary(Type=Name.Filespec, F=String("x.bin"), UF=String("x.bin"),
                       EF=Dictionary(F=pdf.make_stream(secret)))
        )  # fmt: skip
        script = Dictionary(S=Name.JavaScript, JS=String("app.alert(1)"))
        box = Array([0, 0, 50, 50])
        notes = [
            Dictionary(Type=Name.Annot, Subtype=Name.FileAttachment, Rect=box, FS=file),
            Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=box, AF=Array([file]), A=Dictionary(
                S=Name.URI, URI=String("https://court.example"), Next=script)),
            Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=box, A=Dictionary(
                S=Name.URI, URI=String("javascript:alert(1)"))),
            Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=box, A=script),
            Dictionary(Type=Name.Annot, Subtype=Name.Text, Rect=box, Contents=String("A note")),
        ]  # fmt: skip
        page.obj.Annots = Array([pdf.make_indirect(one) for one in notes])
        page.obj.AF, page.obj.AA = Array([file]), Dictionary(O=script)
        font = page.obj.Resources.Font.F1
        # A picture of that name is what the page draws with.
        page.obj.Resources.XObject = Dictionary(
            JS=pdf.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=box)
        )
        page.obj.Resources.Font = Dictionary(F1=font)
        tag = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.P, AF=Array([file])))
        pdf.Root.StructTreeRoot = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot, K=tag))
        pdf.Root.OpenAction = script
        pdf.Root.AcroForm = Dictionary(Fields=Array([]), XFA=pdf.make_stream(secret))

    there, _ = combined(tmp_path, source(fill))
    with pikepdf.open(there) as whole:
        plain = "".join(
            repr(one)
            + (one.read_bytes().decode("latin-1") if isinstance(one, pikepdf.Stream) else "")
            for one in whole.objects
        )
        subtypes = [str(one.Subtype) for one in whole.pages[0].Annots]
        assert "/JS" in whole.pages[0].obj.Resources.XObject
    assert subtypes == ["/Link", "/Link", "/Link", "/Text"]
    for gone in (secret.decode(), "alert(1)", "x.bin", "/JavaScript", "/XFA", "/FileAttachment"):
        assert gone not in plain, gone
    assert "https://court.example" in plain
