"""Whether a redacted copy holds anything that was hidden: read by other means than it was made."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import pikepdf
import pypdf
from pikepdf import Array, Dictionary, Stream
from pypdf.errors import PyPdfError

from cases.redaction.pdf import opened
from cases.redaction.pdf.layer import CMAP_BEGINS, CMAP_ENDS, GLYPH, in_order_of_writing
from cases.redaction.pdf.limits import Unfit
from cases.redaction.pdf.sheets import Sheet
from cases.redaction.pdf.words import Character, folded, places_in, searched, touches, words_of

HELD = "The copy still held something that is hidden. Nothing was kept. Tell an administrator."
ROOT_KEYS = {"/Type", "/Pages"}
TRAILER_KEYS = {"/Root", "/Size", "/ID"}
PAGE_KEYS = {"/Type", "/Parent", "/MediaBox", "/Resources", "/Contents"}
KEPT_KEYS = PAGE_KEYS | {"/Rotate", "/Group"}
# All that a page made anew may name, and all that its streams may hold.
_NAMES_WORDS = (
    "/Type /Subtype /Parent /MediaBox /Resources /Contents /XObject /Font /P /Length "
    "/Filter /DecodeParms /Width /Height /ColorSpace /BitsPerComponent /FontBBox "
    "/FontMatrix /CharProcs /Encoding /Differences /FirstChar /LastChar /Widths /ToUnicode "
    "/g"
)
NAMES = frozenset(_NAMES_WORDS.split(" "))
_NUMBER = rb"-?\d+(?:\.\d+)?"
FORMS = (
    re.compile(re.escape(GLYPH)),
    re.compile(
        rb"q " + _NUMBER + rb" 0 0 " + _NUMBER + rb" 0 0 cm /P Do Q\n(?:BT 3 Tr\n(?:(?:"
        rb"(?:" + _NUMBER + rb" ){6}Tm|" + _NUMBER + rb" Tz|/R\d+ " + _NUMBER + rb" Tf|"
        rb"<[0-9a-f]+> Tj)\n)*ET)?"
    ),
    re.compile(
        re.escape(CMAP_BEGINS.encode())
        + rb"(?:\d+ beginbfchar\n(?:<[0-9A-F]{2}> <(?:[0-9A-F]{4})+>\n)+endbfchar\n)*"
        + re.escape(CMAP_ENDS.encode())
    ),
)
# Said of most documents: no name stands out by these.
_COMMON_WORDS = (
    "the and for was were has had have that this with from she her his him they their our "
    "you your not are but who what when where which while after before about there then "
    "than into over under mister mrs miss doctor"
)
COMMON = frozenset(_COMMON_WORDS.split(" "))
MOST_PIECES = 400
MOST_OF_AREA = 12


@dataclass(frozen=True)
class Found:
    """What was looked for in a copy, and hidden words that can still be read in it."""

    checked: dict[str, Any]
    elsewhere: list[dict[str, Any]]


def looked_through(made: bytes, sheets: Sequence[Sheet]) -> Found:
    """Return what a copy shows of what was hidden. Raises Unfit where it holds what it may not."""
    anew = {sheet.number: sheet for sheet in sheets if sheet.anew}
    _check_structure(made, sheets)
    wanted = hidden_words(sheets)
    _check_text(made, anew, wanted)
    streams = _check_bytes(made, anew)
    checked = {
        "pages_made_anew": sorted(anew),
        "pages_without_text": sorted(n for n, sheet in anew.items() if sheet.without_text),
        "places": sum(len(sheet.marks) for sheet in sheets),
        "words": len(wanted),
        "streams": streams,
    }
    return Found(checked, _elsewhere(made, sheets))


def hidden_words(sheets: Iterable[Sheet]) -> list[str]:
    """Return what was hidden, each passage and each longer word of it once, folded."""
    found: set[str] = set()
    for sheet in sheets:
        for words in hidden_on(sheet):
            found.add(_plain(words))
            found.update(one for one in map(_plain, words.split()) if len(one) >= 4)
    return sorted(one for one in found if len(one) >= 2)


def hidden_on(sheet: Sheet) -> list[str]:
    """Return the passages that the marks of a page hide."""
    passages = []
    for mark in sheet.marks:
        if mark["first"] is not None:
            passages.append(str(mark["words"]))
        else:
            passages.append(" ".join(_below(sheet.characters, mark["boxes"])))
    return [one for one in passages if one.strip()]


def _below(page: Sequence[Character], boxes: Iterable[Sequence[int]]) -> list[str]:
    covers = [(box[0], box[1], box[2], box[3]) for box in boxes]
    return [
        word.text
        for word in words_of(page)
        if any(touches(one, cover) for one in word.boxes for cover in covers)
    ]


def _plain(words: str) -> str:
    return re.sub(r"\s+", " ", folded(words)).strip(" .,;:!?()[]\"'")


def _check_structure(made: bytes, sheets: Sequence[Sheet]) -> None:
    """Refuse a copy that has more than pages, and pages made anew that have more than a picture."""
    with pikepdf.Pdf.open(io.BytesIO(made)) as pdf:
        if set(pdf.trailer.keys()) - TRAILER_KEYS or set(pdf.Root.keys()) - ROOT_KEYS:
            raise Unfit(HELD)
        if len(pdf.pages) != len(sheets) or made.count(b"startxref") != 1:
            raise Unfit(HELD)
        for sheet, page in zip(sheets, pdf.pages, strict=True):
            keys = set(page.obj.keys())
            if keys - (PAGE_KEYS if sheet.anew else KEPT_KEYS):
                raise Unfit(HELD)
            if sheet.anew:
                resources = page.obj["/Resources"]
                pictures = list(resources["/XObject"].keys())
                if pictures != ["/P"] or set(resources.keys()) - {"/XObject", "/Font"}:
                    raise Unfit(HELD)


def _check_text(made: bytes, anew: dict[int, Sheet], wanted: Sequence[str]) -> None:
    """Refuse a copy whose pages say more, to another library, than the words that remain."""
    try:
        reader = pypdf.PdfReader(io.BytesIO(made))
        texts = {number: reader.pages[number - 1].extract_text() for number in anew}
    except (PyPdfError, ValueError, KeyError, TypeError) as error:
        raise Unfit(HELD) from error
    for number, text in texts.items():
        said = _joined(text)
        laid = [one.text for one in anew[number].laid]
        meant = _joined("".join(laid)), _joined("".join(in_order_of_writing(one) for one in laid))
        for one in wanted:
            # Without blanks: another reader may part words otherwise.
            if said.count(_joined(one)) > max(way.count(_joined(one)) for way in meant):
                raise Unfit(HELD)


def _joined(text: str) -> str:
    return re.sub(r"\s+", "", folded(text))


def _check_bytes(made: bytes, anew: dict[int, Sheet]) -> int:
    """Refuse a copy in which a page made anew holds any byte that was not meant; count streams.

    Every object below the page is looked at: names from a short list, no strings, and streams of
    which every character is accounted for. What its text says is decoded and is what was laid.
    """
    looked = 0
    with pikepdf.Pdf.open(io.BytesIO(made)) as pdf:
        for number, sheet in anew.items():
            page = pdf.pages[number - 1].obj
            looked += _check_objects(page)
            meant = "".join(f"{in_order_of_writing(one.text)} " for one in sheet.laid)
            if decoded(page) != meant:
                raise Unfit(HELD)
    return looked


def _check_objects(page: Any) -> int:
    looked = 0
    seen: set[tuple[int, int]] = set()
    waiting = [value for key, value in page.items() if str(key) != "/Parent"]
    while waiting:
        one = waiting.pop()
        if isinstance(one, pikepdf.Object) and one.is_indirect:
            if one.objgen in seen:
                continue
            seen.add(one.objgen)
        if isinstance(one, pikepdf.String):
            raise Unfit(HELD)
        if isinstance(one, Stream | Dictionary):
            if {str(key) for key in one} - NAMES and not _of_fonts(one):
                raise Unfit(HELD)
            waiting.extend(value for _, value in one.items())
        if isinstance(one, Stream) and one.get("/Subtype") != "/Image":
            looked += 1
            if not any(form.fullmatch(one.read_bytes()) for form in FORMS):
                raise Unfit(HELD)
        if isinstance(one, Array):
            waiting.extend(list(one))
    return looked


def _of_fonts(one: Any) -> bool:
    return all(re.fullmatch(r"/R\d+", str(key)) for key in one)


def decoded(page: Any) -> str:
    """Return what the text of a page made anew says, by its own fonts."""
    fonts = {
        str(name): {
            bytes.fromhex(code.decode()): bytes.fromhex(text.decode()).decode("utf-16-be")
            for code, text in re.findall(
                rb"<([0-9A-F]{2})> <((?:[0-9A-F]{4})+)>\n", font["/ToUnicode"].read_bytes()
            )
        }
        for name, font in page["/Resources"].get("/Font", Dictionary()).items()
    }
    said: list[str] = []
    now: dict[bytes, str] = {}
    for name, shown in re.findall(
        rb"(/R\d+) [\d.]+ Tf|<([0-9a-f]+)> Tj", page["/Contents"].read_bytes()
    ):
        if name:
            now = fonts[name.decode()]
        else:
            codes = bytes.fromhex(shown.decode())
            said.extend(now[bytes([one])] for one in codes)
    return "".join(said)


def _elsewhere(made: bytes, sheets: Sequence[Sheet]) -> list[dict[str, Any]]:
    """Return where words that are hidden in one place can still be read in the copy."""
    asked = asked_elsewhere(sheets)
    if not asked:
        return []
    counted: Counter[tuple[str, int]] = Counter()
    with opened.opened(made) as copy:
        for number in range(1, len(copy) + 1):
            with opened.page_of(copy, number) as page:
                text = opened.characters_of(page, placed=False)
            looked = searched(text)
            for words in asked:
                for first, last in places_in(looked, words):
                    if _whole(text, first, last):
                        counted[words, number] += 1
    # A word of a passage says nothing where the passage itself is found.
    return [
        {"page": number, "times": times, "words": words}
        for (words, number), times in sorted(
            counted.items(), key=lambda row: (row[0][1], row[0][0])
        )
    ]


def asked_elsewhere(sheets: Iterable[Sheet]) -> list[str]:
    """Return what is looked for elsewhere: hidden passages, and names and numbers within them."""
    found: dict[str, None] = {}
    for sheet in sheets:
        for passage in hidden_on(sheet):
            single = passage.split()
            if len(single) <= MOST_OF_AREA:
                found[passage] = None
            for one in single:
                bare = one.strip(".,;:!?()[]{}\"'“”‘’")
                bare = re.sub(r"['’]s$", "", bare)
                striking = bare[:1].isupper() or any(each.isdigit() for each in bare)
                if len(bare) >= 3 and striking and bare.casefold() not in COMMON:
                    found[bare] = None
    return list(found)[:MOST_PIECES]


def _whole(page: Sequence[Character], first: int, last: int) -> bool:
    """Tell whether a place is no part of a longer word."""
    before = page[first - 1].text if first else " "
    after = page[last + 1].text if last + 1 < len(page) else " "
    return not before.isalnum() and not after.isalnum()
