"""Every text about medicine or law that a person can read, each with where it is from.

The code that says a text takes it from here: there is no second copy. `source` is a published
source, COMMON_PRACTICE, or says that it is from memory (a source that was not checked).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from string import Formatter

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory, source not checked"


@dataclass(frozen=True)
class Statement:
    """A text with its place and source; names in braces are filled in when it is said."""

    key: str
    text: str
    where: str
    source: str

    def say(self, **values: object) -> str:
        """Return the text with its names filled in."""
        return self.text.format(**values)

    @property
    def blanks(self) -> list[str]:
        """The names that are filled in when it is said."""
        return [name for _, name, _, _ in Formatter().parse(self.text) if name]


Lister = Callable[[], Iterable[Statement]]
_KNOWN: dict[str, Statement] = {}
_LISTS: list[Lister] = []


def statement(key: str, text: str, *, where: str, source: str) -> Statement:
    """Register a text; the same key twice is an error."""
    if key in _KNOWN:
        raise ValueError(f"There is a statement {key} already.")
    if not (text and where and source):
        raise ValueError(f"The statement {key} lacks its text, place or source.")
    _KNOWN[key] = Statement(key, text, where, source)
    return _KNOWN[key]


def statement_list(lister: Lister) -> Lister:
    """Register a list of texts that is kept elsewhere (a file, the methods' own words).

    It is read once, when somebody first asks for all texts.
    """
    _LISTS.append(lister)
    return lister


@cache
def _listed(lister: Lister) -> tuple[Statement, ...]:
    return tuple(lister())


def statements() -> list[Statement]:
    """Return all texts by place, single ones before those of lists."""
    single = sorted(_KNOWN.values(), key=lambda one: (one.where, one.key))
    return [*single, *(one for lister in _LISTS for one in _listed(lister))]


def by_place() -> dict[str, list[Statement]]:
    """Return all texts under the place where they are read, in the order of the places' names."""
    places: dict[str, list[Statement]] = {}
    for one in sorted(statements(), key=lambda one: one.where):
        places.setdefault(one.where, []).append(one)
    return places


class Ground(StrEnum):
    """What a source is: one that is named, what the trade does, or somebody's memory."""

    NAMED = "a source that is named"
    PRACTICE = "common practice"
    MEMORY = "from memory, in whole or in part"


# How a source says that it was not read, or not to the end.
_FROM_MEMORY = ("memory", "not checked", "not confirmed", "not opened")


def ground_of(one: Statement) -> Ground:
    """Return what a text rests on, as its source says."""
    source = one.source.casefold()
    if any(words in source for words in _FROM_MEMORY):
        return Ground.MEMORY
    return Ground.PRACTICE if source.startswith(COMMON_PRACTICE) else Ground.NAMED


def matching(*, words: str = "", place: str = "", ground: str = "") -> dict[str, list[Statement]]:
    """Return by place the texts that have every one of the words, in the text or its source.

    An empty argument leaves nothing out. Upper and lower case are the same.
    """
    wanted = words.casefold().split()
    found: dict[str, list[Statement]] = {}
    for where, texts in by_place().items():
        kept = [
            one
            for one in texts
            if (not place or where == place)
            and (not ground or ground_of(one) == ground)
            and all(word in f"{one.text} {one.source}".casefold() for word in wanted)
        ]
        if kept:
            found[where] = kept
    return found


def statement_of(key: str) -> Statement:
    """Return one text by its key. Raises KeyError."""
    return _KNOWN[key]
