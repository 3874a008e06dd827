"""The words that remain, as text that nobody sees: it is searched, copied and read aloud."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

import pikepdf
from pikepdf import Array, Dictionary, Name

from cases.redaction.pdf.words import Box

# Characters of one font: a code is one byte, and 0 is left alone.
MOST_CODES = 255
GLYPH = b"500 0 d0"
CMAP_BEGINS = (
    "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
    "/CMapName /R def /CMapType 2 def\n"
    "1 begincodespacerange <00> <FF> endcodespacerange\n"
)
CMAP_ENDS = "endcmap CMapName currentdict /CMap defineresource pop end end"
_RIGHT_TO_LEFT = {"R", "AL"}


@dataclass(frozen=True)
class Laid:
    """A word where it stands; `ends` says that the next one stands in another line."""

    text: str
    box: Box
    down: bool = False
    up: bool = False


def layer_of(words: Sequence[Laid], size: tuple[float, float]) -> bytes:
    """Return the content of a page that writes the words without showing them."""
    codes = codes_of(words)
    rows = [b"BT 3 Tr"]
    for word in words:
        rows.extend(_placed(word, size, codes))
    rows.append(b"ET")
    return b"\n".join(rows) if len(rows) > 2 else b""


def codes_of(words: Sequence[Laid]) -> dict[str, tuple[int, int]]:
    """Return font and code of each character, in the order of the characters."""
    used = sorted({one for word in words for one in word.text} | {" "})
    return {one: (at // MOST_CODES, at % MOST_CODES + 1) for at, one in enumerate(used)}


def fonts_of(pdf: pikepdf.Pdf, words: Sequence[Laid]) -> Dictionary:
    """Return fonts without a drawn glyph for these characters, by the names that a layer uses."""
    by_font: dict[int, dict[int, str]] = {}
    for one, (font, code) in codes_of(words).items():
        by_font.setdefault(font, {})[code] = one
    fonts = Dictionary()
    glyph = pdf.make_stream(GLYPH)
    for font, characters in sorted(by_font.items()):
        fonts[f"/R{font}"] = pdf.make_indirect(_font(pdf, glyph, characters))
    return fonts


def _font(pdf: pikepdf.Pdf, glyph: pikepdf.Object, characters: dict[int, str]) -> Dictionary:
    last = max(characters)
    return Dictionary(
        Type=Name.Font,
        Subtype=Name.Type3,
        FontBBox=Array([0, -200, 500, 800]),
        FontMatrix=Array([0.001, 0, 0, 0.001, 0, 0]),
        CharProcs=Dictionary({"/g": glyph}),
        Encoding=Dictionary(Type=Name.Encoding, Differences=Array([1, *[Name("/g")] * last])),
        FirstChar=1,
        LastChar=last,
        Widths=Array([500] * last),
        Resources=Dictionary(),
        ToUnicode=pdf.make_stream(_to_unicode(characters)),
    )


def _to_unicode(characters: dict[int, str]) -> bytes:
    rows = [
        f"<{code:02X}> <{one.encode('utf-16-be').hex().upper()}>"
        for code, one in sorted(characters.items())
    ]
    parts = [rows[at : at + 100] for at in range(0, len(rows), 100)]
    listed = "".join(
        f"{len(part)} beginbfchar\n" + "\n".join(part) + "\nendbfchar\n" for part in parts
    )
    return f"{CMAP_BEGINS}{listed}{CMAP_ENDS}".encode()


def _placed(
    word: Laid, size: tuple[float, float], codes: dict[str, tuple[int, int]]
) -> list[bytes]:
    left, top, right, bottom = word.box
    x0, x1 = left * size[0] / 10_000, right * size[0] / 10_000
    y0, y1 = size[1] - bottom * size[1] / 10_000, size[1] - top * size[1] / 10_000
    turned = word.down or word.up
    high, wide = (x1 - x0, y1 - y0) if turned else (y1 - y0, x1 - x0)
    high, wide = max(high, 0.5), max(wide, 0.5)
    text = in_order_of_writing(word.text)
    stretch = wide / (len(text) * 0.5 * high) * 100
    base = high * 0.2
    if word.up:
        place = f"0 1 -1 0 {x1 - base:.2f} {y0:.2f} Tm"
    elif word.down:
        place = f"0 -1 1 0 {x0 + base:.2f} {y1:.2f} Tm"
    else:
        place = f"1 0 0 1 {x0:.2f} {y0 + base:.2f} Tm"
    rows = [place.encode(), f"{stretch:.2f} Tz".encode()]
    # Shown in runs of one font; a blank follows, so that words stay apart.
    run: list[int] = []
    now = -1
    for one in [*text, " "]:
        font, code = codes[one]
        if font != now:
            if run:
                rows.append(_shown(run))
            rows.append(f"/R{font} {high:.2f} Tf".encode())
            run, now = [], font
        run.append(code)
    rows.append(_shown(run))
    return rows


def _shown(codes: Sequence[int]) -> bytes:
    return f"<{bytes(codes).hex()}> Tj".encode()


def in_order_of_writing(text: str) -> str:
    """Return a word as its letters stand on paper from the left: from right to left reversed."""
    backward = any(unicodedata.bidirectional(one) in _RIGHT_TO_LEFT for one in text)
    return text[::-1] if backward else text
