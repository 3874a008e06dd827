"""What was typed to find something in a case: numbers, places of the body, words. No database."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from findings.body.regions import REGIONS, search_regions

LONGEST, MOST_WORDS = 120, 8
# Words around a hit where only the letters were compared.
AROUND = 60


class Kind(StrEnum):
    """What has a number of its own in a case."""

    PHOTOGRAPH = "photograph"
    FINDING = "finding"
    EXHIBIT = "exhibit"
    ITEM = "item"
    RESULT = "result"
    ADDENDUM = "addendum"


# How people write it before a number.
WRITTEN: dict[str, Kind] = {
    word: kind
    for kind, words in {
        Kind.PHOTOGRAPH: "p photo photos photograph photographs picture pictures",
        Kind.FINDING: "finding findings injury injuries wound wounds mark",
        Kind.EXHIBIT: "exhibit exhibits",
        Kind.ITEM: "item items specimen specimens",
        Kind.RESULT: "result results",
        Kind.ADDENDUM: "addendum amendment",
    }.items()
    for word in words.split()
}
_KINDS = "|".join(sorted(WRITTEN, key=len, reverse=True))
_NAMED = re.compile(rf"\b({_KINDS})[\s.#-]*(?:no\.?\s*)?(\d{{1,6}}(?:-?[a-z])?)\b", re.IGNORECASE)
_NUMBER = re.compile(r"\d{1,6}(?:-?[a-z])?\b", re.IGNORECASE)
_WORD = re.compile(r"[^\W_]+")
# They say nothing by themselves of where on the body something lies.
_WHICH_WAY = frozenset(
    {"left", "right", "front", "side", "top", "upper", "lower", "inner", "outer", "of",
     "the", "on", "in", "at", "and", "to"}
)  # fmt: skip
# By letters alone they would be found in every text; a comparison of words leaves them out itself.
FILLERS = frozenset(
    {"a", "an", "and", "as", "at", "by", "did", "for", "from", "in", "is", "it", "of", "on", "or",
     "that", "the", "this", "to", "was", "were", "with"}
)  # fmt: skip
Named = tuple[Kind, str]


@dataclass(frozen=True)
class Asked:
    """What was typed, read: what it names by number, words, and regions of the body.

    `regions` are those that the words name, and `other_words` what is left of them then.
    """

    text: str
    named: frozenset[Named] = frozenset()
    words: tuple[str, ...] = ()
    regions: frozenset[str] = frozenset()
    other_words: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Tell whether there is nothing to look for."""
        return not (self.named or self.words)


def read_asked(typed: str) -> Asked:
    """Read what was typed: "P 12", "exhibit 7", "left forearm abrasion", "Quill", "12"."""
    text = " ".join("".join(c if c.isprintable() else " " for c in typed).split())[:LONGEST]
    if _NUMBER.fullmatch(text):
        # A number alone may be of any kind.
        return Asked(text, frozenset((kind, _plain(text)) for kind in Kind))
    named = frozenset(
        (WRITTEN[kind.lower()], _plain(number)) for kind, number in _NAMED.findall(text)
    )
    words = tuple(_WORD.findall(_NAMED.sub(" ", text).lower()))[:MOST_WORDS]
    place = tuple(word for word in words if len(word) > 2 and search_regions(word, limit=1))
    if set(place) <= _WHICH_WAY:
        return Asked(text, named, words)
    fitting = search_regions(" ".join(place), limit=len(REGIONS))
    if not fitting:
        return Asked(text, named, words)
    regions = frozenset(region.key for region in fitting)
    return Asked(text, named, words, regions, tuple(word for word in words if word not in place))


def _plain(number: str) -> str:
    return number.lower().replace("-", "").lstrip("0") or "0"


def numbered_as(kind: Kind, number: object) -> Named:
    """Return how a record is named by its number; an exhibit's own may end with it: State 7."""
    last = _NUMBER.findall(str(number))
    return kind, _plain(last[-1]) if last else str(number).lower()


def around(text: str, words: Sequence[str]) -> str:
    """Return the part of a text around the first of the words that it holds."""
    lower = text.lower()
    places = [at for at in (lower.find(word) for word in words) if at >= 0]
    start = max(min(places, default=0) - AROUND, 0)
    end = start + 3 * AROUND
    return f"{'… ' if start else ''}{text[start:end].strip()}{' …' if end < len(text) else ''}"


def pieces(marked: str, begin: str, end: str) -> list[tuple[str, bool]]:
    """Cut a text with marks into (piece, whether it is marked)."""
    found = []
    for n, part in enumerate(marked.split(begin)):
        hit, _, rest = part.partition(end) if n else ("", "", part)
        found += [(hit, True), (rest, False)]
    return [(piece, is_hit) for piece, is_hit in found if piece]
