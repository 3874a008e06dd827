"""Values that are kept, each with the words in which people read it. No database.

    class Way(Worded):
        FAX = "fax", "by fax"

Each member is a text, the value; `words` are what a page or a document says.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import Self


class Worded(StrEnum):
    """The base of such values: value and words stand beside each other."""

    words: str

    def __new__(cls, value: str, words: str = "") -> Self:
        """Make a member of its value and its words; it is found again by the value alone."""
        made = str.__new__(cls, value)
        made._value_ = value
        made.words = words
        return made

    @classmethod
    def choices(cls) -> list[tuple[str, str]]:
        """Return the values with their words, as forms and tables offer them."""
        return [(one.value, one.words) for one in cls]


def as_choices(values: Iterable[StrEnum]) -> list[tuple[str, str]]:
    """Return values that are said as they are kept, as forms and tables offer them."""
    return [(one.value, one.value) for one in values]
