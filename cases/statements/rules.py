"""Kinds of statements, what may be lacking in one, and how a place in one is written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

KINDS = [
    ("deposition", "deposition"),
    ("hearing", "testimony at a hearing"),
    ("trial", "testimony at trial"),
    ("interview", "interview"),
    ("letter", "letter or written statement"),
]
SHORT = {
    "deposition": "Deposition",
    "hearing": "Hearing",
    "trial": "Trial testimony",
    "interview": "Interview",
    "letter": "Letter",
}
TAKEN_DOWN = [
    ("certified", "certified transcript"),
    ("draft", "transcript, not certified"),
    ("own hand", "written or signed by the speaker"),
    ("notes", "somebody’s notes of what was said"),
    ("not known", "not known"),
]
IN_COURT = frozenset({"hearing", "trial"})
MOST_LINES = 120
MOST_PAGES = 1500
MOST_LINES_A_PAGE = 1000
MOST_TEXT_BYTES = 2 * 1024 * 1024
MOST_PDF_BYTES = 50 * 1024 * 1024

_PLACE = re.compile(
    r"(?:p\.?\s*)?(\d{1,5})\s*:\s*(\d{1,4})(?:\s*[-–]\s*(?:(\d{1,5})\s*:\s*)?(\d{1,4}))?"
)


@dataclass(frozen=True, order=True)
class Line:
    """A line of a statement, by the numbers of page and line."""

    page: int
    line: int


@dataclass(frozen=True)
class Place:
    """From a line of a statement to another, both included."""

    first: Line
    last: Line

    def __str__(self) -> str:
        start = f"{self.first.page}:{self.first.line}"
        if self.first == self.last:
            return start
        if self.first.page == self.last.page:
            return f"{start}-{self.last.line}"
        return f"{start}-{self.last.page}:{self.last.line}"


def read_place(typed: str) -> Place | None:
    """Read 31:4, 31:4-9 or 31:24-32:3; None for anything else."""
    found = _PLACE.fullmatch(typed.strip())
    if found is None:
        return None
    first = Line(int(found[1]), int(found[2]))
    if found[4] is None:
        return Place(first, first)
    return Place(first, Line(int(found[3] or found[1]), int(found[4])))


def wrong_in_statement(said: Mapping[str, object], today: date) -> dict[str, str]:
    """Say by field what cannot be so."""
    wrong: dict[str, str] = {}
    given_on = said.get("given_on")
    if isinstance(given_on, date) and given_on > today:
        wrong["given_on"] = "This date is in the future."
    if said.get("kind") in IN_COURT and not said.get("court"):
        wrong["court"] = "Testimony names its court."
    first_page = said.get("first_page")
    if isinstance(first_page, int) and not 1 <= first_page <= 99_999:
        wrong["first_page"] = "Between 1 and 99999."
    return wrong


def wrong_in_place(place: Place) -> str:
    """Say what is wrong with the ends of a passage; empty where nothing is."""
    if place.last < place.first:
        return "The last line comes before the first."
    return ""
