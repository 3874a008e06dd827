"""Every text about medicine or law that a person can read, each with where it is from.

The code that says a text takes it from here: there is no second copy. `source` is a published
source, COMMON_PRACTICE, or says that it is from memory (a source that was not checked).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
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
    """Register a list of texts that is kept elsewhere (a file, the methods' own words)."""
    _LISTS.append(lister)
    return lister


def statements() -> list[Statement]:
    """Return all texts by place, single ones before those of lists."""
    single = sorted(_KNOWN.values(), key=lambda one: (one.where, one.key))
    return [*single, *(one for lister in _LISTS for one in lister())]


def by_place() -> dict[str, list[Statement]]:
    """Return all texts under the place where they are read, in the order of the places' names."""
    places: dict[str, list[Statement]] = {}
    for one in sorted(statements(), key=lambda one: one.where):
        places.setdefault(one.where, []).append(one)
    return places


def statement_of(key: str) -> Statement:
    """Return one text by its key. Raises KeyError."""
    return _KNOWN[key]
