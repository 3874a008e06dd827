"""Small PDFs that hold words wherever a PDF can hold them, and what is left in the bytes of one."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections.abc import Iterator
from typing import Any

import pikepdf
import pypdf
from pikepdf import Array, Dictionary, Name, String
from PIL import Image

from cases.redaction.pdf import burning, opened, words

WIDE, HIGH = 300, 160


def line(text: str, *, x: int = 20, y: int = 120, size: int = 14, before: str = "") -> str:
    """One line of text, as the content of a page."""
    safe = text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
    return f"{before} BT /F {size} Tf {x} {y} Td ({safe}) Tj ET\n"


def paper(*contents: str, box: tuple[int, int] = (WIDE, HIGH)) -> pikepdf.Pdf:
    """A PDF of pages with these contents and one font, as `/F`."""
    pdf = pikepdf.Pdf.new()
    font = pdf.make_indirect(
        Dictionary(
            Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica,
            Encoding=Name.WinAnsiEncoding,
        )
    )  # fmt: skip
    for content in contents:
        page = Dictionary(
            Type=Name.Page,
            MediaBox=Array([0, 0, *box]),
            Resources=Dictionary(Font=Dictionary(F=font)),
            Contents=pdf.make_stream(content.encode("latin-1")),
        )
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
    return pdf


def saved(pdf: pikepdf.Pdf, **how: Any) -> bytes:
    """The bytes of a PDF."""
    made = io.BytesIO()
    pdf.save(made, **how)
    return made.getvalue()


def places(content: bytes, wanted: str, *, number: str = "3", page: int = 0) -> list[dict]:
    """Marks on every place of words, or on those of one page."""
    found = []
    with opened.opened(content) as document:
        texts = []
        for at in range(1, len(document) + 1):
            with opened.page_of(document, at) as one:
                texts.append(opened.characters_of(one))
    for place in words.find(texts, wanted):
        if page in (0, place.page):
            text = texts[place.page - 1]
            found.append(
                {"page": place.page, "kind": "words", "first": place.first, "last": place.last,
                 "boxes": [list(b) for b in words.boxes_of(text, place.first, place.last)],
                 "words": words.words_between(text, place.first, place.last), "number": number}
            )  # fmt: skip
    return found


def area(page: int, *box: int, number: str = "7b") -> dict:
    """A mark on an area of a page."""
    return {"page": page, "kind": "area", "first": None, "last": None, "boxes": [list(box)],
            "words": "", "number": number}  # fmt: skip


def burn(content: bytes, *marks: dict) -> burning.Burned:
    """The redacted copy."""
    return burning.burned(content, list(marks), name="paper")


def texts_of(content: bytes) -> list[str]:
    """The text of each page, as a library reads it that takes no part in the making."""
    reader = pypdf.PdfReader(io.BytesIO(content))
    return [re.sub(r"\s+", " ", page.extract_text()).strip() for page in reader.pages]


def poppler_text(content: bytes) -> str | None:
    """The text as Poppler reads it; None where it is not installed."""
    program = shutil.which("pdftotext")
    if program is None:
        return None
    done = subprocess.run([program, "-", "-"], input=content, capture_output=True, check=True)
    return re.sub(r"\s+", " ", done.stdout.decode())


def spelled(word: str) -> set[bytes]:
    """How a word may stand in bytes, in small letters."""
    small = word.lower()
    raw = {small.encode(), small.encode("utf-16-be"), small.encode("utf-16-le")}
    return raw | {one.hex().encode() for one in raw}


def bytes_of(content: bytes) -> Iterator[bytes]:
    """Everything that a PDF holds: its bytes, each stream unpacked, strings and names."""
    yield content
    with pikepdf.Pdf.open(io.BytesIO(content)) as pdf:
        yield repr(dict(pdf.trailer.items())).encode()
        for one in pdf.objects:
            if isinstance(one, pikepdf.Stream):
                try:
                    yield one.read_bytes()
                except pikepdf.PdfError:
                    yield one.read_raw_bytes()
            yield (
                one.unparse(resolved=True)
                if not isinstance(one, pikepdf.Stream)
                else repr(dict(one.items())).encode()
            )


def holds(content: bytes, word: str) -> bool:
    """Tell whether a word stands anywhere in the bytes of a PDF, in any spelling."""
    needles = spelled(word)
    return any(needle in data.lower() for data in bytes_of(content) for needle in needles)


def picture(color: Any = (200, 40, 40), size: tuple[int, int] = (60, 40), **how: Any) -> bytes:
    """A JPEG of one color."""
    made = io.BytesIO()
    Image.new("RGB", size, color).save(made, "JPEG", **how)
    return made.getvalue()


def with_picture(pdf: pikepdf.Pdf, page: int, data: bytes, size: tuple[int, int]) -> None:
    """Draw a JPEG over the lower half of a page."""
    image = pdf.make_stream(b"")
    image.write(data, filter=Name.DCTDecode)
    image["/Type"], image["/Subtype"] = Name.XObject, Name.Image
    image["/Width"], image["/Height"] = size
    image["/ColorSpace"], image["/BitsPerComponent"] = Name.DeviceRGB, 8
    one = pdf.pages[page - 1]
    one.obj.Resources["/XObject"] = Dictionary(I=pdf.make_indirect(image))
    drawing = one.obj.Contents.read_bytes() + b"\nq 100 0 0 60 20 20 cm /I Do Q\n"
    one.obj.Contents = pdf.make_stream(drawing)


def everywhere(secret: str) -> bytes:
    """A PDF that holds a word in every place beside its page: what a copy must not have."""
    pdf = paper(line(f"Seen by {secret} at nine"), line("Nothing here"))
    pdf.docinfo["/Title"] = secret
    pdf.docinfo["/Author"] = String(secret)
    with pdf.open_metadata() as meta:
        meta["dc:title"] = secret
    pdf.Root.PieceInfo = Dictionary(Office=Dictionary(Private=String(secret)))
    pdf.attachments[f"{secret}.txt"] = secret.encode()
    with pdf.open_outline() as outline:
        outline.root.append(pikepdf.OutlineItem(secret, 0))
    script = Dictionary(S=Name.JavaScript, JS=String(f"app.alert('{secret}')"))
    pdf.Root.OpenAction = pdf.make_indirect(script)
    pdf.Root.Names["/JavaScript"] = Dictionary(Names=Array([String(secret), script]))
    pdf.Root.Lang = String("en-US")
    first, second = (page.obj for page in pdf.pages)
    field = pdf.make_indirect(
        Dictionary(
            Type=Name.Annot, Subtype=Name.Widget, FT=Name.Tx, T=String(secret), V=String(secret),
            DA=String("/F 10 Tf 0 g"), Rect=Array([20, 60, 200, 80]),
        )
    )  # fmt: skip
    note = pdf.make_indirect(
        Dictionary(
            Type=Name.Annot, Subtype=Name.Text, Rect=Array([0, 0, 20, 20]),
            Contents=String(secret), T=String(secret),
        )
    )  # fmt: skip
    link = pdf.make_indirect(
        Dictionary(
            Type=Name.Annot, Subtype=Name.Link, Rect=Array([0, 0, 50, 20]),
            A=Dictionary(S=Name.URI, URI=String(f"https://{secret}.example")),
        )
    )  # fmt: skip
    first.Annots = Array([field, note])
    second.Annots = Array([link])
    pdf.Root.AcroForm = Dictionary(Fields=Array([field]), SigFlags=3)
    root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    element = pdf.make_indirect(
        Dictionary(
            Type=Name.StructElem, S=Name.P, P=root, ActualText=String(secret), Alt=String(secret),
            T=String(secret), Pg=second, K=0,
        )
    )  # fmt: skip
    root.K = Array([element])
    pdf.Root.StructTreeRoot = root
    pdf.Root.MarkInfo = Dictionary(Marked=True)
    second.StructParents = 0
    second.Contents = pdf.make_stream(
        f"/Span <</MCID 0 /ActualText ({secret})>> BDC {line('Nothing here')} EMC "
        f"% {secret}\n".encode()
    )
    second.PieceInfo = Dictionary(Private=String(secret))
    second.Metadata = pdf.make_stream(secret.encode())
    second.Thumb = pdf.make_stream(secret.encode())
    second.AA = Dictionary(O=script)
    before = saved(pdf, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    # A later revision: the first page as it was stays in the bytes before it.
    at = len(before)
    number = 900
    later = f"\n{number} 0 obj\n<< /Was ({secret}) >>\nendobj\n".encode()
    start = at + len(later)
    previous = int(before.rsplit(b"startxref", 1)[1].split()[0])
    with pikepdf.Pdf.open(io.BytesIO(before)) as again:
        root_number = again.Root.objgen[0]
    tail = (
        f"xref\n{number} 1\n{at + 1:010d} 00000 n \ntrailer\n<< /Size {number + 1} "
        f"/Root {root_number} 0 R /Prev {previous} >>\nstartxref\n{start}\n%%EOF\n"
    ).encode()
    return before + later + tail
