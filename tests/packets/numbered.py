"""Reads the numbered lines of a PDF, from where its own text lies, and what is said to stand there.

ISO 32000-1, 8.3 and 9.4: a text position is the text matrix times the transformation matrix; `cm`
and `Tm` set them, `q` and `Q` keep and restore the latter.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from typing import Any

import pikepdf

from cases.review.models import SignedPdf
from cases.review.passages import PassageAt
from evidence.store import original_chunks
from tests.packets.reading import _decoded, _unicode_map, squeezed

Matrix = tuple[float, float, float, float, float, float]
SAME_PT = 4.0
INCH = 72.0


def _times(one: Matrix, two: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (
        a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j,
        e * g + f * i + k, e * h + f * j + m,
    )  # fmt: skip


def _runs(page: pikepdf.Page) -> list[tuple[float, float, str]]:
    """Return (x, y, text) of every run of a page, in points from its lower left."""
    fonts = {name: _unicode_map(font) for name, font in (page.resources.get("/Font") or {}).items()}
    now: Matrix = (1, 0, 0, 1, 0, 0)
    kept: list[Matrix] = []
    text: Matrix = now
    current: dict[int, str] = {}
    found = []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "q":
            kept.append(now)
        elif name == "Q":
            now = kept.pop()
        elif name == "cm":
            now = _times(_matrix(operands), now)
        elif name == "Tm":
            text = _matrix(operands)
        elif name == "Tf":
            current = fonts[str(operands[0])]
        elif name in {"Tj", "TJ"}:
            parts = operands[0] if name == "TJ" else [operands[0]]
            words = "".join(
                _decoded(bytes(o), current) for o in parts if isinstance(o, pikepdf.String)
            )
            place = _times(text, now)
            found.append((place[4], place[5], words))
        else:
            assert name not in {"Td", "TD", "T*", "'", '"'}, f"{name} is not read here"
    return found


def _matrix(operands: Any) -> Matrix:
    a, b, c, d, e, f = (float(one) for one in operands)
    return a, b, c, d, e, f


def numbered_lines(pdf: pikepdf.Pdf) -> dict[tuple[int, int], str]:
    """Return the text of each numbered line by (page, line), its runs from left to right.

    Numbers stand in the left margin; what stands in the right one is no part of a line.
    """
    lines: dict[tuple[int, int], str] = {}
    for at, page in enumerate(pdf.pages, start=1):
        width = float(page.mediabox[2])
        runs = _runs(page)
        text = [run for run in runs if INCH - 1 <= run[0] < width - INCH]
        for x, y, number in runs:
            if x < INCH - 1 and number.strip().isdigit():
                near = sorted(run for run in text if abs(run[1] - y) < SAME_PT)
                lines[at, int(number)] = " ".join(words for _, _, words in near)
    return lines


def bytes_of(kept: SignedPdf) -> bytes:
    """The kept PDF of a signed report, as the store has it."""
    return b"".join(original_chunks(kept.file))


def read(kept: SignedPdf) -> dict[tuple[int, int], str]:
    """Return the numbered lines of a kept PDF, read from its own bytes."""
    with pikepdf.open(io.BytesIO(bytes_of(kept))) as pdf:
        assert len(pdf.pages) == kept.pages
        return numbered_lines(pdf)


def misplaced(
    lines: dict[tuple[int, int], str], told: Iterable[PassageAt]
) -> dict[str, tuple[str, str]]:
    """Return what does not stand on just the lines that are told: by key, the place and the text.

    A passage may be followed by its number, its photographs and measurements. A row's cells stand
    beside each other, so that their words alone are looked for.
    """
    wrong = {}
    for one in told:
        place = one.lines
        if place is None:
            wrong[one.key] = (one.where, "")
            continue
        first, last = (place.page, place.first), (place.last_page, place.last)
        there = squeezed("".join(text for at, text in sorted(lines.items()) if first <= at <= last))
        if "-row-" in one.key:
            cells = f"{one.lead} {one.words}".replace(",", " ").split()
            stands = all(squeezed(word) in there for word in cells)
        else:
            colon = "" if one.key.startswith("fact-") else ":"
            words = re.escape(squeezed(f"{one.lead}{colon}{one.words}" if one.lead else one.words))
            # These lines and no other.
            stands = bool(
                re.fullmatch(rf"{words}(\[\d+\])?(\((P[\d,to]+)?(;?M\d+onP\d+)*\))?", there)
            )
        if not stands:
            wrong[one.key] = (place.words, there)
    return wrong
