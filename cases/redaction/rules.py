"""What a redaction of a document is: places on its pages, when a copy still shows them."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from me_office.worded import Worded

# Shares of the upright page, from its upper left: ten thousand make its width or its height.
WHOLE = 10_000
# What a person draws within one document; a page that lies under thousands of boxes is covered.
MOST_MARKS = 4_000
MOST_BOXES = 400
MOST_AT_ONCE = 500
# A side of a box that hides less than this hides nothing that could be read.
SMALLEST = 10
MOST_WORDS = 2_000

Box = tuple[int, int, int, int]


class MarkKind(Worded):
    """What is hidden: words that were chosen in the text, or an area of the page."""

    WORDS = "words", "words"
    AREA = "area", "area"


class WrongMark(ValueError):
    """A place that cannot be hidden as it is given; the words say why."""


@dataclass(frozen=True)
class Chosen:
    """A place of a document that is to be hidden: boxes on one page, and the words below them.

    `first` and `last` are the places of its first and last character in the text of the page;
    None of an area.
    """

    page: int
    kind: MarkKind
    boxes: tuple[Box, ...]
    words: str = ""
    first: int | None = None
    last: int | None = None


def read_boxes(given: Any) -> tuple[Box, ...]:
    """Return boxes as they can be drawn on a page. Raises WrongMark."""
    if not isinstance(given, Sequence) or isinstance(given, str | bytes) or not given:
        raise WrongMark("Draw at least one box.")
    if len(given) > MOST_BOXES:
        raise WrongMark(f"One mark has up to {MOST_BOXES} boxes.")
    return tuple(_box(one) for one in given)


def _box(given: Any) -> Box:
    sides = list(given) if isinstance(given, Sequence) and not isinstance(given, str) else []
    if len(sides) != 4 or not all(isinstance(one, int) for one in sides):
        raise WrongMark("A box has four whole numbers: left, top, right, bottom.")
    left, right = sorted((sides[0], sides[2]))
    top, bottom = sorted((sides[1], sides[3]))
    if left < 0 or top < 0 or right > WHOLE or bottom > WHOLE:
        raise WrongMark("A box reaches past the page.")
    if right - left < SMALLEST or bottom - top < SMALLEST:
        raise WrongMark("A box is too small to hide anything. Draw it larger.")
    return left, top, right, bottom


def one_line(words: str) -> str:
    """Return words on one line, as they are compared and listed."""
    return re.sub(r"\s+", " ", words).strip()


def digest_of_choice(sha256: str, marks: Iterable[Mapping[str, Any]]) -> str:
    """Return the digest of a choice: the document's bytes and all that is hidden in it.

    The order in which marks were made does not matter; their reasons do, as they are printed.
    """
    rows = sorted(
        (
            [one["page"], one["kind"], one["boxes"], one["words"], one["first"], one["last"],
             one["number"]]
            for one in marks
        ),
        key=lambda row: json.dumps(row, sort_keys=True),
    )  # fmt: skip
    said = json.dumps([sha256, rows], ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(said.encode()).hexdigest()


def wrong_in_marks(pages: int, marks: Sequence[Chosen]) -> str:
    """Say why these marks cannot be kept together; empty where they can."""
    if not marks:
        return "Choose words or draw an area first."
    if len(marks) > MOST_AT_ONCE:
        return f"Up to {MOST_AT_ONCE} places are marked at once. Choose fewer."
    if any(not 1 <= one.page <= pages for one in marks):
        return f"The document has {pages} page{'' if pages == 1 else 's'}."
    return ""


def elsewhere_words(found: Sequence[Mapping[str, Any]]) -> str:
    """Say where hidden words can still be read: 4 times, on pages 2 and 5."""
    if not found:
        return ""
    pages = sorted({int(one["page"]) for one in found})
    times = sum(int(one["times"]) for one in found)
    numbers = [str(one) for one in pages]
    named = numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"
    return (
        f"{times} time{'' if times == 1 else 's'}, on page{'' if len(pages) == 1 else 's'} {named}"
    )
