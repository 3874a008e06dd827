"""The characters of a page, their places, and what is found among them; no PDF is opened here."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

Box = tuple[int, int, int, int]
# A hyphen that ends a line within a word: as the reader of the PDF gives it, and as it is typed.
SOFT = "\u00ad\u0002\ufffe"
HYPHENS = "-\u2010\u2011" + SOFT
# As many characters are shown around a place that was found.
AROUND = 40


@dataclass(frozen=True)
class Character:
    """One character of a page; a box of nothing is a blank that the reader put in."""

    text: str
    box: Box

    @property
    def is_blank(self) -> bool:
        """Tell whether it parts words."""
        return not self.text.strip() or self.box[2] <= self.box[0] or self.box[3] <= self.box[1]


@dataclass(frozen=True)
class Word:
    """Characters without a blank between them, with their places in the page's text."""

    first: int
    last: int
    text: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class Place:
    """Where something was found on a page."""

    page: int
    first: int
    last: int


def words_of(page: Sequence[Character]) -> list[Word]:
    """Return the words of a page in reading order; what goes on in another line is a word there."""
    found: list[Word] = []
    begun: list[int] = []
    for at, one in enumerate(page):
        if one.is_blank or (begun and not _beside(page[begun[-1]].box, one.box)):
            _end(page, begun, found)
        if not one.is_blank:
            begun.append(at)
    _end(page, begun, found)
    return found


def _end(page: Sequence[Character], begun: list[int], found: list[Word]) -> None:
    if begun:
        text = "".join(shown(page[at].text) for at in begun)
        boxes = boxes_of(page, begun[0], begun[-1])
        found.append(Word(begun[0], begun[-1], text, boxes))
    begun.clear()


def shown(text: str) -> str:
    """Return a character as it is read: the hyphen at the end of a line is a hyphen."""
    return "-" if text in SOFT else text


def _beside(one: Box, other: Box) -> bool:
    """Tell whether two characters stand in one line, across the page or, turned, down it."""
    across = min(one[3], other[3]) - max(one[1], other[1])
    down = min(one[2], other[2]) - max(one[0], other[0])
    low = min(one[3] - one[1], other[3] - other[1])
    wide = min(one[2] - one[0], other[2] - other[0])
    return across * 3 >= low or down * 3 >= wide


def boxes_of(page: Sequence[Character], first: int, last: int) -> tuple[Box, ...]:
    """Return one box a line around the characters from `first` to `last`."""
    lines: list[list[Box]] = []
    for one in page[first : last + 1]:
        if one.is_blank:
            continue
        if lines and (_level(_around(lines[-1]), one.box) or _below(lines[-1][-1], one.box)):
            lines[-1].append(one.box)
        else:
            lines.append([one.box])
    return tuple(_around(line) for line in lines)


def _level(line: Box, box: Box) -> bool:
    """Tell whether a character goes on in a line, with no more than a few blanks between."""
    shared = min(line[3], box[3]) - max(line[1], box[1])
    high = min(line[3] - line[1], box[3] - box[1])
    apart = max(line[0], box[0]) - min(line[2], box[2])
    return shared * 2 >= high and apart <= 3 * max(high, box[2] - box[0])


def _below(one: Box, other: Box) -> bool:
    """Tell whether a character follows another down or up the page, as in turned text."""
    shared = min(one[2], other[2]) - max(one[0], other[0])
    apart = max(one[1], other[1]) - min(one[3], other[3])
    return (
        shared * 2 >= min(one[2] - one[0], other[2] - other[0])
        and apart * 4 <= min(one[3] - one[1], other[3] - other[1])
    )  # fmt: skip


def _around(boxes: Sequence[Box]) -> Box:
    return (
        min(one[0] for one in boxes),
        min(one[1] for one in boxes),
        max(one[2] for one in boxes),
        max(one[3] for one in boxes),
    )


def words_between(page: Sequence[Character], first: int, last: int) -> str:
    """Return the characters from `first` to `last` on one line."""
    text = "".join(shown(one.text) for one in page[first : last + 1])
    return re.sub(r"\s+", " ", text).strip()


def folded(text: str) -> str:
    """Return text as it is compared: one case, no accents, ligatures apart, plain quotes."""
    text = text.translate(_PLAIN)
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(one for one in apart if not unicodedata.combining(one)).casefold()


@lru_cache(maxsize=4096)
def _folded_one(text: str) -> str:
    return folded(text)


_PLAIN = str.maketrans(
    {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "\u2010": "-", "\u2011": "-",
     "\u2212": "-", "\u200b": "", "\u200e": "", "\u200f": "", "\u2060": "", "\ufeff": ""}
)  # fmt: skip


def find(pages: Iterable[Sequence[Character]], wanted: str) -> Iterator[Place]:
    """Yield every place of the words, whatever their case, line ends, hyphens and ligatures."""
    for number, page in enumerate(pages, start=1):
        for first, last in places_in(searched(page), wanted):
            yield Place(number, first, last)


Searched = tuple[tuple[str, list[int]], ...]


def searched(page: Sequence[Character]) -> Searched:
    """Return a page as it is searched, once for all that is looked for in it.

    A hyphen at the end of a line belongs to the word, or does not: both are looked at.
    """
    return running(page, with_hyphens=False), running(page, with_hyphens=True)


def places_in(page: Searched, wanted: str) -> list[tuple[int, int]]:
    """Return first and last character of each place of the words, in order."""
    asked = re.sub(r"\s+", " ", folded(wanted)).strip()
    seen: set[tuple[int, int]] = set()
    if asked:
        for text, places in page:
            at = text.find(asked)
            while at >= 0:
                seen.add((places[at], places[at + len(asked) - 1]))
                at = text.find(asked, at + 1)
    return sorted(seen)


def running(page: Sequence[Character], *, with_hyphens: bool) -> tuple[str, list[int]]:
    """Return the folded text of a page on one line, and where each of its characters stands."""
    text: list[str] = []
    places: list[int] = []
    at, count = 0, len(page)
    while at < count:
        one = page[at]
        if one.text and one.text in HYPHENS and text and text[-1] != " ":
            after = _line_end(page, at)
            if after is not None:
                if with_hyphens:
                    text.append("-")
                    places.append(at)
                at = after
                continue
        blank = not one.text.strip()
        piece = " " if blank else _folded_one(one.text)
        if not (blank and text and text[-1] == " "):
            text.extend(piece)
            places.extend([at] * len(piece))
        at += 1
    return "".join(text), places


def _line_end(page: Sequence[Character], at: int) -> int | None:
    """Return where the next line begins when nothing but a line end follows; else None."""
    after = at + 1
    while after < len(page) and not page[after].text.strip():
        after += 1
    if after >= len(page):
        return None
    apart = after > at + 1 and any(one.text in "\r\n" for one in page[at + 1 : after])
    soft = page[at].text in SOFT
    return after if apart or (soft and after > at) else None


def touches(one: Box, other: Box, *, least: int = 0) -> bool:
    """Tell whether two boxes share more than their edges."""
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > least
        and min(one[3], other[3]) - max(one[1], other[1]) > least
    )


def remaining(page: Sequence[Character], covered: Sequence[Box]) -> list[Word]:
    """Return the words of which nothing lies below a cover."""
    return [
        word
        for word in words_of(page)
        if not any(touches(box, cover) for box in _each(page, word) for cover in covered)
    ]


def _each(page: Sequence[Character], word: Word) -> list[Box]:
    return [page[at].box for at in range(word.first, word.last + 1)]


def around(page: Sequence[Character], place: Place) -> tuple[str, str, str]:
    """Return what stands before a place, in it and after it."""
    before = words_between(page, max(0, place.first - AROUND), place.first - 1)
    after = words_between(page, place.last + 1, min(len(page) - 1, place.last + AROUND))
    here = words_between(page, place.first, place.last)
    # Blanks stay where they are: what follows may be a comma.
    if place.first and not page[place.first - 1].text.strip():
        before += " "
    if place.last + 1 < len(page) and not page[place.last + 1].text.strip():
        after = f" {after}"
    return before if place.first else "", here, after
