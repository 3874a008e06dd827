"""A PDF as it is opened, measured, read and drawn; whatever is wrong with it raises Unfit."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image

from cases.redaction.pdf import limits
from cases.redaction.pdf.limits import Unfit
from cases.redaction.pdf.words import SOFT, Character

WHOLE = 10_000
NOWHERE = (0, 0, 0, 0)
# Drawings within drawings are looked through this far down; the reader itself goes no further.
MOST_DEEP = 40
_LOCKED_ERRORS = {pdfium.FPDF_ERR_PASSWORD, pdfium.FPDF_ERR_SECURITY}


@contextmanager
def opened(content: bytes) -> Iterator[pypdfium2.PdfDocument]:
    """Open a PDF for as long as it is needed. Raises Unfit."""
    if len(content) > limits.MOST_BYTES:
        raise Unfit(limits.TOO_LARGE)
    if b"%PDF-" not in content[:1024]:
        raise Unfit(limits.BROKEN)
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        locked = getattr(error, "err_code", None) in _LOCKED_ERRORS
        raise Unfit(limits.LOCKED if locked else limits.BROKEN) from error
    try:
        # What was locked against copying is not copied, whether or not it opens without a word.
        if pdfium.FPDF_GetSecurityHandlerRevision(document) > 0:
            raise Unfit(limits.LOCKED)
        count = len(document)
        if not count:
            raise Unfit(limits.BROKEN)
        if count > limits.MOST_PAGES:
            raise Unfit(limits.TOO_LONG)
        document.init_forms()
        yield document
    finally:
        document.close()


@contextmanager
def page_of(document: Any, number: int) -> Iterator[Any]:
    """Open a page by its number, from 1. Raises Unfit."""
    if not 1 <= number <= len(document):
        raise Unfit(limits.NO_PAGE)
    try:
        page = document[number - 1]
    except pypdfium2.PdfiumError as error:
        raise Unfit(limits.BROKEN) from error
    try:
        yield page
    finally:
        page.close()


def size_of(page: Any) -> tuple[float, float]:
    """Return width and height of a page as it is seen, in points. Raises Unfit."""
    width, height = page.get_size()
    if not (
        limits.SMALLEST_POINTS <= width <= limits.MOST_POINTS
        and limits.SMALLEST_POINTS <= height <= limits.MOST_POINTS
    ):
        raise Unfit(limits.WRONG_SIZE)
    return width, height


def sizes_of(document: Any) -> list[tuple[float, float]]:
    """Return the sizes of all pages as they are seen. Raises Unfit."""
    sizes = []
    for number in range(1, len(document) + 1):
        with page_of(document, number) as page:
            sizes.append(size_of(page))
    return sizes


def drawn(page: Any, *, dots_an_inch: float) -> Image.Image:
    """Return the picture of a page, upright, as it is seen and printed. Raises Unfit."""
    width, height = size_of(page)
    scale = dots_an_inch / 72
    most = (limits.MOST_PIXELS / (width * height)) ** 0.5
    try:
        bitmap = page.render(scale=min(scale, most), may_draw_forms=True, rev_byteorder=True)
    except (pypdfium2.PdfiumError, MemoryError) as error:
        raise Unfit(limits.TOO_MUCH) from error
    try:
        picture: Image.Image = bitmap.to_pil().convert("RGB")
    finally:
        bitmap.close()
    return picture


def _text_of(page: Any) -> Any:
    """Return the text of a page as it is drawn, whatever words a file gives in place of it."""
    waiting = [(page.raw, pdfium.FPDFPage_CountObjects, pdfium.FPDFPage_GetObject, 0)]
    while waiting:
        holder, count, get, depth = waiting.pop()
        for at in range(max(0, count(holder))):
            one = get(holder, at)
            for place in reversed(range(max(0, pdfium.FPDFPageObj_CountMarks(one)))):
                _clear_words(one, pdfium.FPDFPageObj_GetMark(one, place))
            if pdfium.FPDFPageObj_GetType(one) == pdfium.FPDF_PAGEOBJ_FORM and depth < MOST_DEEP:
                waiting.append(
                    (one, pdfium.FPDFFormObj_CountObjects, pdfium.FPDFFormObj_GetObject, depth + 1)
                )
    return page.get_textpage()


def _clear_words(one: Any, mark: Any) -> None:
    if pdfium.FPDFPageObjMark_GetParamValueType(mark, b"ActualText") != pdfium.FPDF_OBJECT_UNKNOWN:
        pdfium.FPDFPageObjMark_RemoveParam(one, mark, b"ActualText")


def characters_of(page: Any, *, placed: bool = True) -> list[Character]:
    """Return the characters of a page with their places, as they are seen; none from outside.

    Not `placed`, they have no place: a long document is searched in a tenth of the time.
    """
    text = _text_of(page)
    try:
        count = pdfium.FPDFText_CountChars(text)
        if count > limits.MOST_CHARACTERS:
            raise Unfit(limits.TOO_MUCH)
        if not placed:
            return [Character(_read(text, at), NOWHERE) for at in range(count)]
        return [_character(page, text, at) for at in range(count)]
    finally:
        text.close()


def _read(text: Any, at: int) -> str:
    code = pdfium.FPDFText_GetUnicode(text, at)
    if pdfium.FPDFText_IsHyphen(text, at) == 1:
        return "\u0002"
    return chr(code) if 0 < code < 0x110000 and not 0xD800 <= code < 0xE000 else " "


def _character(page: Any, text: Any, at: int) -> Character:
    word = _read(text, at)
    loose = pdfium.FS_RECTF()
    if not pdfium.FPDFText_GetLooseCharBox(text, at, loose):
        return Character(word, NOWHERE)
    corners = [
        _upright(page, loose.left, loose.top),
        _upright(page, loose.right, loose.bottom),
    ]
    across, down = [x for x, _ in corners], [y for _, y in corners]
    box = (_on(min(across)), _on(min(down)), _on(max(across)), _on(max(down)))
    return Character(word, box)


def _upright(page: Any, x: float, y: float) -> tuple[int, int]:
    across, down = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDF_PageToDevice(page, 0, 0, WHOLE, WHOLE, 0, x, y, across, down)
    return across.value, down.value


def _on(value: int) -> int:
    return min(WHOLE, max(0, value))


def is_scan(page: Any) -> bool:
    """Tell whether text lies unseen over a page, as where a picture was read by a machine."""
    unseen = {pdfium.FPDF_TEXTRENDERMODE_INVISIBLE, pdfium.FPDF_TEXTRENDERMODE_CLIP}
    text = _text_of(page)
    try:
        for at in range(pdfium.FPDFText_CountChars(text)):
            one = pdfium.FPDFText_GetTextObject(text, at)
            if one and pdfium.FPDFTextObj_GetTextRenderMode(one) in unseen:
                return True
        return False
    finally:
        text.close()


def holds_what_is_not_seen(characters: Sequence[Character]) -> bool:
    """Tell whether a page has letters without a place on it, as beside its edge."""
    return any(one.text.strip() and one.text not in SOFT and one.is_blank for one in characters)
