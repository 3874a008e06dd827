"""The redacted copy of a PDF: written anew, object by object, with nothing below the bars.

A page on which something is hidden becomes a picture of itself, bars and all, and the words that
remain go into it as text that nobody sees. Any other page is taken over without what goes with it,
or, where that can't be done cleanly, becomes a picture too. Nothing else of the file goes along: no
earlier revision, form, attachment, bookmark, script, tag, layer, metadata or signature.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pikepdf
import PIL
import pypdfium2
from pikepdf import Array, Dictionary, Name
from PIL import Image, ImageChops

from cases.redaction.pdf import checking, cleaning, covering, layer, limits, looking, opened
from cases.redaction.pdf.covering import WHOLE
from cases.redaction.pdf.layer import Laid
from cases.redaction.pdf.limits import Unfit
from cases.redaction.pdf.sheets import Sheet
from cases.redaction.pdf.words import Box, Character, Word, remaining, touches, words_of

# A page that is no larger than this without loss is kept without loss.
MOST_LOSSLESS = 3_000_000
QUALITY = 90
# As many levels of gray part a letter from its ground, where somebody can read it.
LEAST_CONTRAST = 24


@dataclass(frozen=True)
class Burned:
    """A redacted copy, what was looked for in it, and hidden words that it still shows."""

    content: bytes
    pages: int
    checked: dict[str, Any]
    elsewhere: list[dict[str, Any]]
    software: str


def burned(content: bytes, marks: Sequence[Mapping[str, Any]], *, name: str) -> Burned:
    """Return the redacted copy of a PDF, looked through. Raises Unfit."""
    with opened.opened(content) as document:
        sheets = [_sheet(document, number, marks) for number in range(1, len(document) + 1)]
        if any(not 1 <= one["page"] <= len(sheets) for one in marks):
            raise Unfit(limits.NO_PAGE)
        made = _written(document, content, sheets)
        if unlike := looking.unlike(document, made, sheets):
            for sheet in unlike:
                sheet.anew = True
            made = _written(document, content, sheets)
    found = checking.looked_through(made, sheets)
    looking.looked_at(made, sheets)
    return Burned(made, len(sheets), found.checked, found.elsewhere, software())


def software() -> str:
    """Return which programs make the copy; the same ones make the same bytes again."""
    return (
        f"{limits.WAY}, PDFium {pypdfium2.PDFIUM_INFO.build}, "
        f"pikepdf {pikepdf.__version__}, Pillow {PIL.__version__}"
    )


def _sheet(document: Any, number: int, marks: Sequence[Mapping[str, Any]]) -> Sheet:
    with opened.page_of(document, number) as page:
        here = [one for one in marks if one["page"] == number]
        sheet = Sheet(number, here, opened.characters_of(page), opened.size_of(page))
        sheet.anew = bool(here) or opened.holds_what_is_not_seen(sheet.characters)
        hidden_layer = any(one["kind"] == "area" for one in here) and opened.is_scan(page)
        if not sheet.anew:
            # Words that nobody can read on the page go along with no page.
            look = opened.drawn(page, dots_an_inch=looking.LOOK_DOTS).convert("L")
            shown = words_of(sheet.characters)
            sheet.anew = any(not _is_seen(look, one) for one in shown)
        # The text below a scan may lie beside what it says: an area would not cover it.
        sheet.without_text = hidden_layer
    return sheet


def _is_seen(picture: Image.Image, word: Word) -> bool:
    for box in word.boxes:
        # Within its box: the edge of a bar that lies over a word is no letter of it.
        inner = _inner(box) if any(one.isalnum() for one in word.text) else box
        left, top = inner[0] * picture.width // WHOLE, inner[1] * picture.height // WHOLE
        right, bottom = (
            -(-inner[2] * picture.width // WHOLE),
            -(-inner[3] * picture.height // WHOLE),
        )
        if right <= left or bottom <= top:
            continue
        levels: Any = picture.crop((left, top, right, bottom)).getextrema()
        if levels[1] - levels[0] >= LEAST_CONTRAST:
            return True
    return False


def _inner(box: Box) -> Box:
    """Return the part of a box in which each letter has some ink, whichever way it is turned."""
    across, down = (box[2] - box[0]) // 10, (box[3] - box[1]) // 4
    if box[3] - box[1] > 2 * (box[2] - box[0]):
        across, down = (box[2] - box[0]) // 4, (box[3] - box[1]) // 10
    return box[0] + across, box[1] + down, box[2] - across, box[3] - down


def _written(document: Any, content: bytes, sheets: Sequence[Sheet]) -> bytes:
    out = pikepdf.Pdf.new()
    try:
        source = pikepdf.Pdf.open(io.BytesIO(content), inherit_page_attributes=True)
    except pikepdf.PdfError:
        # What only the one library can read becomes pictures.
        source = None
    layers = source is None or "/OCProperties" in source.Root
    for sheet in sheets:
        if not sheet.anew:
            try:
                if source is None or layers:
                    raise cleaning.NotTaken
                cleaning.taken(source.pages[sheet.number - 1], out)
                continue
            except (cleaning.NotTaken, IndexError):
                sheet.anew = True
        with opened.page_of(document, sheet.number) as page:
            _picture_page(out, page, sheet, without_text=sheet.without_text or layers)
    if "/Info" in out.trailer:
        del out.trailer["/Info"]
    made = io.BytesIO()
    out.save(
        made,
        deterministic_id=True,
        object_stream_mode=pikepdf.ObjectStreamMode.disable,
        force_version="1.7",
    )
    return made.getvalue()


def _picture_page(out: pikepdf.Pdf, page: Any, sheet: Sheet, *, without_text: bool) -> None:
    sheet.without_text = without_text
    whole = opened.drawn(page, dots_an_inch=limits.DOTS_AN_INCH)
    sheet.laid, sheet.blocks = _laid(whole, sheet), looking.blocks_of(whole)
    picture = _image(out, covering.covered(whole, sheet.covers))
    width, height = (round(one, 2) for one in sheet.size)
    drawing = f"q {width} 0 0 {height} 0 0 cm /P Do Q\n".encode()
    drawing += layer.layer_of(sheet.laid, sheet.size)
    made = Dictionary(
        Type=Name.Page,
        MediaBox=Array([0, 0, width, height]),
        Resources=Dictionary(XObject=Dictionary(P=picture), Font=layer.fonts_of(out, sheet.laid)),
        Contents=out.make_stream(drawing),
    )
    out.pages.append(pikepdf.Page(out.make_indirect(made)))


def _laid(whole: Image.Image, sheet: Sheet) -> list[Laid]:
    """Return the words that go along, and what the bars say, in reading order."""
    bars: list[tuple[int, Laid]] = []
    for one in sheet.marks:
        code = str(one.get("number", ""))
        box: Box = tuple(one["boxes"][0])
        said = f"[redacted {code}]" if code else "[redacted]"
        at = one["first"] if one["first"] is not None else _after(sheet.characters, box)
        bars.append((at, Laid(said, box)))
    if sheet.without_text:
        return [one for _, one in sorted(bars, key=lambda row: (row[0], row[1].box))]
    gray = whole.convert("L")
    covers = [one.box for one in sheet.covers]
    words = [
        (word.first, _as_laid(sheet.characters, word))
        for word in remaining(sheet.characters, covers)
        if _is_seen(gray, word)
    ]
    return [one for _, one in sorted([*words, *bars], key=lambda row: (row[0], row[1].box))]


def _after(page: Sequence[Character], box: Box) -> int:
    """Return where in the text an area belongs: before the first character that it covers."""
    covered = (at for at, one in enumerate(page) if not one.is_blank and touches(one.box, box))
    below = (at for at, one in enumerate(page) if not one.is_blank and one.box[1] >= box[1])
    return next(covered, next(below, len(page)))


def _as_laid(page: Sequence[Character], word: Word) -> Laid:
    box = (
        min(one[0] for one in word.boxes), min(one[1] for one in word.boxes),
        max(one[2] for one in word.boxes), max(one[3] for one in word.boxes),
    )  # fmt: skip
    first, last = page[word.first].box, page[word.last].box
    turned = word.last > word.first and not (min(first[3], last[3]) - max(first[1], last[1]) > 0)
    return Laid(
        word.text, box, down=turned and first[1] < last[1], up=turned and first[1] > last[1]
    )


def _image(out: pikepdf.Pdf, picture: Image.Image) -> pikepdf.Object:
    """Return a picture as an object: without loss where that is small, else as JPEG."""
    red, green, blue = picture.split()
    gray = not ImageChops.difference(red, green).getbbox() and not (
        ImageChops.difference(green, blue).getbbox()
    )
    shown = red if gray else picture
    space = Name.DeviceGray if gray else Name.DeviceRGB
    data = zlib.compress(shown.tobytes(), 6)
    encoding = Name.FlateDecode
    if len(data) > MOST_LOSSLESS:
        made = io.BytesIO()
        shown.save(made, "JPEG", quality=QUALITY)
        data, encoding = made.getvalue(), Name.DCTDecode
    image = out.make_stream(b"")
    image.write(data, filter=encoding)
    image["/Type"], image["/Subtype"] = Name.XObject, Name.Image
    image["/Width"], image["/Height"] = shown.width, shown.height
    image["/ColorSpace"], image["/BitsPerComponent"] = space, 8
    return image
