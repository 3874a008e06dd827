"""Manner of death, and what a change of it needs. No database."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any


class Manner(StrEnum):
    """Manner of death as the US Standard Certificate of Death (2003 revision, item 37) has it."""

    NATURAL = "natural"
    ACCIDENT = "accident"
    SUICIDE = "suicide"
    HOMICIDE = "homicide"
    UNDETERMINED = "undetermined"
    PENDING = "pending"


# The words of the form, where they are not those that the office keeps.
FORM_WORDS = {
    Manner.UNDETERMINED: "could not be determined",
    Manner.PENDING: "pending investigation",
}
MANNERS = [(one.value, FORM_WORDS.get(one, one.value)) for one in Manner]
_WORDS = dict(MANNERS)


def manner_words(manner: str | None) -> str:
    """The manner in the words of the certificate; empty where none is stated."""
    return _WORDS.get(manner or "", manner or "")


def lines_of(entry: Mapping[str, Any]) -> list[str]:
    """The filled lines of part I, from the immediate cause down."""
    lines = [str(entry.get(f"cause_{letter}", "") or "").strip() for letter in "abcd"]
    return [line for line in lines if line]


def lowest_cause(entry: Mapping[str, Any]) -> str:
    """Return the underlying cause: the lowest filled line of part I, or nothing."""
    return next(reversed(lines_of(entry)), "")


def needs_reason(was: str, becomes: str) -> bool:
    """Tell whether a change of manner has to be explained: any change of one that was stated."""
    return was not in {"", Manner.PENDING} and was != becomes
