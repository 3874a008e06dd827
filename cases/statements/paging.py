"""Pages and lines of a statement's text. No database, no clock.

A transcript is cited by page and line, so both keep the numbers that are printed on them. Where
none are printed the lines are counted, blank ones too, and the office says that it counted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from cases.statements.rules import MOST_LINES_A_PAGE, MOST_PAGES

_PAGE = re.compile(r"\s*(?:-\s*)?page\s+(\d{1,5})(?:\s+of\s+\d{1,5})?(?:\s*-)?\s*", re.IGNORECASE)
_ALONE = re.compile(r"\s*(?:page\s+)?(\d{1,5})(?:\s+of\s+\d{1,5})?\s*", re.IGNORECASE)
_NUMBERED = re.compile(r"\s*(\d{1,2})(?:\s+(\S.*)|\s*)")
# Of the lines of a page, so many carry their number before it counts as printed.
_FEWEST_PRINTED = 4
# A reporter's name and a web address; more than that is no foot.
_MOST_AT_THE_FOOT = 3
# What cannot be seen or kept, and what turns the direction of what stands after it.
_UNSEEN = re.compile(
    r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\ud800-\udfff\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]"
)


class WrongText(ValueError):
    """A text that cannot be kept by page and line; the message says why."""


@dataclass(frozen=True)
class Page:
    """A page with its number and its lines, each with its number."""

    number: int
    lines: tuple[tuple[int, str], ...]
    printed: bool


def pages_of_text(text: str, *, first_page: int | None = None) -> list[Page]:
    """Return the pages of a text that was pasted.

    They are parted by form feeds, or by lines "Page 31" that stand alone: above their page, or
    below it where the text ends with one. Raises WrongText.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise WrongText("There is no text in it.")
    if "\f" in text:
        parts = [part.split("\n") for part in text.strip("\f").split("\f")]
        return numbered(parts, first_page=first_page)
    lines = text.strip("\n").split("\n")
    marks = [n for n, line in enumerate(lines) if _PAGE.fullmatch(line)]
    if not marks:
        return numbered([lines], first_page=first_page)
    if first_page is not None:
        raise WrongText("The text numbers its own pages. Leave the number of the first page empty.")
    return _parted(lines, marks)


def _parted(lines: list[str], marks: list[int]) -> list[Page]:
    below = not any(line.strip() for line in lines[marks[-1] + 1 :])
    above = not any(line.strip() for line in lines[: marks[0]])
    if not above and not below:
        raise WrongText(
            "Some lines belong to no page: begin with “Page” and its number, or end with it."
        )
    if above:
        ends = [*marks[1:], len(lines)]
        parts = [lines[start + 1 : end] for start, end in zip(marks, ends, strict=True)]
    else:
        starts = [0, *(mark + 1 for mark in marks[:-1])]
        parts = [lines[start:end] for start, end in zip(starts, marks, strict=True)]
    numbers = [int(_PAGE.sub(r"\1", lines[mark])) for mark in marks]
    return _checked([_page(n, part) for n, part in zip(numbers, parts, strict=True)])


def numbered(parts: Sequence[Sequence[str]], *, first_page: int | None = None) -> list[Page]:
    """Return pages that are parted already, by the numbers printed on them where there are any.

    A number stands alone at the head or foot of its page. They count only where nearly all pages
    have one and each is one more than the page's before it. Raises WrongText.
    """
    if len(parts) > MOST_PAGES:
        raise WrongText(f"It has {len(parts)} pages; at most {MOST_PAGES} are read.")
    if first_page is None:
        first_page, parts = _printed_numbers(parts)
    return _checked([_page(n, part) for n, part in enumerate(parts, start=first_page)])


def _printed_numbers(parts: Sequence[Sequence[str]]) -> tuple[int, list[Sequence[str]]]:
    for ends in (_head, _foot):
        found = [ends(part) for part in parts]
        offsets = [number - n for n, (number, _) in enumerate(found) if number is not None]
        agreed = max(set(offsets), key=offsets.count, default=0)
        if agreed >= 1 and len(parts) > 1 and offsets.count(agreed) * 10 >= len(parts) * 8:
            kept = [
                [line for at, line in enumerate(part) if number != n + agreed or at != place]
                for n, (part, (number, place)) in enumerate(zip(parts, found, strict=True))
            ]
            return agreed, list(kept)
    return 1, list(parts)


def _head(part: Sequence[str]) -> tuple[int | None, int]:
    for at, line in enumerate(part):
        if line.strip():
            found = _ALONE.fullmatch(line)
            return (int(found[1]), at) if found else (None, at)
    return None, 0


def _foot(part: Sequence[str]) -> tuple[int | None, int]:
    number, at = _head(list(reversed(part)))
    return number, len(part) - 1 - at


def _page(number: int, part: Sequence[str]) -> Page:
    lines = [_UNSEEN.sub("", line).expandtabs(4).rstrip() for line in part]
    printed = _printed_lines(lines)
    if printed is not None:
        return Page(number, printed, True)
    while lines and not lines[-1]:
        lines.pop()
    return Page(number, tuple(enumerate((" ".join(one.split()) for one in lines), start=1)), False)


def _printed_lines(lines: Sequence[str]) -> tuple[tuple[int, str], ...] | None:
    """Return the lines by their printed numbers: 1, 2, 3 ... without a gap; None without them.

    A line without a number above the first is the page's head, one below the last its foot; they
    have no number to be cited by and are left out. In between each line has one.
    """
    found: list[tuple[int, str]] = []
    bare = 0
    for line in lines:
        read = _NUMBERED.fullmatch(line)
        if read is not None and int(read[1]) == len(found) + 1:
            if bare:
                return None
            found.append((int(read[1]), " ".join((read[2] or "").split())))
        elif line.strip() and found:
            bare += 1
    return tuple(found) if len(found) >= _FEWEST_PRINTED and bare <= _MOST_AT_THE_FOOT else None


def _checked(pages: list[Page]) -> list[Page]:
    if len(pages) > MOST_PAGES:
        raise WrongText(f"It has {len(pages)} pages; at most {MOST_PAGES} are read.")
    before = 0
    for page in pages:
        if page.number <= before:
            raise WrongText(f"Page {page.number} comes after page {before}.")
        before = page.number
        if len(page.lines) > MOST_LINES_A_PAGE:
            raise WrongText(
                f"Page {page.number} has {len(page.lines)} lines; at most {MOST_LINES_A_PAGE}. "
                "Write “Page” and the number above each page."
            )
    if not any(words for page in pages for _, words in page.lines):
        raise WrongText("There is no text in it.")
    return pages
