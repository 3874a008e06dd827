"""Fields of a letter's template: which there are, what is unknown, what stays a gap. No database.

    Re: {request.kind}, {request.court}, cause {request.cause}

A template may name the fields that are listed here, and gaps of its own for what only a person
knows. What a request does not say of a field
stays in the letter as a gap, `{fill in: name of counsel}`, until a person fills it or strikes it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

_BRACES: Final = re.compile(r"\{([^{}]*)\}")
_GAP: Final = "fill in: "
NEAR: Final = 0.5


@dataclass(frozen=True)
class Field:
    """What may stand in braces: its name, what it holds, and whether it holds several lines."""

    name: str
    holds: str
    lines: bool = False


FIELDS: Final[tuple[Field, ...]] = (
    Field("letter.to", "to whom the letter is addressed"),
    Field("today", "day on which the letter is begun"),
    Field("case.number", "case number"),
    Field("decedent.name", "name of the decedent"),
    Field("request.kind", "type of request"),
    Field("request.cited", "request as it is cited: type, court, number"),
    Field("request.court", "court"),
    Field("request.number", "cause number of the request"),
    Field("request.party", "requesting party"),
    Field("request.contact", "where the answer is sent", lines=True),
    Field("request.served", "day on which the request was served or received"),
    Field("request.asks", "what is requested", lines=True),
    Field("due.day", "day on which the answer is due"),
    Field("demand list", "demands of the request", lines=True),
    Field("demand count", "number of demands"),
    Field("counsel.name", "name of counsel for the requesting party"),
    Field("counsel.firm", "firm of counsel for the requesting party"),
    Field("counsel.address", "address of counsel for the requesting party", lines=True),
    Field("counsel.party", "for whom counsel appears"),
    Field("fee.total", "amount of the invoice"),
    Field("fee.number", "number of the invoice"),
    Field("missing list", "items that do not exist here", lines=True),
    Field("withheld list", "items withheld, each with its ground", lines=True),
    Field("redacted list", "items released in redacted form", lines=True),
    Field("elsewhere list", "items that somebody else has", lines=True),
    Field("release.day", "day of the release"),
    Field("release.digest", "SHA-256 of what was released last"),
    Field("release.sent", "what the release holds", lines=True),
    Field("appearance.day", "day and time in court"),
    Field("appearance.kind", "kind of the date in court"),
    Field("appearance.place", "place of the date in court"),
    Field("appearance.witness", "who is called"),
    Field("office.name", "name of the office"),
    Field("office.address", "address of the office", lines=True),
    Field("office.phone", "telephone of the office"),
    Field("clerk.name", "name of the person who writes the letter"),
)
BY_NAME: Final[Mapping[str, Field]] = {one.name: one for one in FIELDS}


class Incomplete(str):
    """A value that is known in part: the letter keeps a gap for the rest."""

    rest: str

    def __new__(cls, value: str, rest: str) -> Incomplete:
        """Return the value, with what is lacking in words."""
        made = super().__new__(cls, value)
        made.rest = rest
        return made


def wrong_in_template(text: str) -> str:
    """Say what is wrong with the fields of a template's text; empty where nothing is."""
    names = [one.strip() for one in _BRACES.findall(text)]
    if any(brace in _BRACES.sub("", text) for brace in "{}"):
        return "A brace is open or closed without the other."
    for name in names:
        if name not in BY_NAME and not _is_gap(name):
            return _unknown(name)
    return ""


def _is_gap(name: str) -> bool:
    return name.startswith(_GAP) and len(name) > len(_GAP)


def _unknown(name: str) -> str:
    if not name:
        return "There is no field between two braces."
    near = get_close_matches(name.lower(), BY_NAME, n=1, cutoff=NEAR)
    return (
        f"There is no field “{name}”. Do you mean {{{near[0]}}}?"
        if near
        else f"There is no field “{name}”. The fields are listed beside the text."
    )


def merged(text: str, values: Mapping[str, str]) -> str:
    """Return a template's text with its fields filled in; what is empty stays as a gap.

    Braces in a value are written as parentheses: in a letter a brace marks a gap.
    """

    def one(match: re.Match[str]) -> str:
        name = match.group(1).strip()
        if _is_gap(name):
            return match.group(0)
        known = values.get(name, "")
        value = known.strip().replace("{", "(").replace("}", ")")
        if value and isinstance(known, Incomplete):
            return f"{value}\n{{{_GAP}{known.rest}}}"
        if value:
            return value
        return f"{{{_GAP}{BY_NAME[name].holds if name in BY_NAME else name}}}"

    return _BRACES.sub(one, text)


def gaps_in(text: str) -> list[str]:
    """Return what is left in braces in a letter, each once, in order."""
    found = (one.strip().removeprefix(_GAP).strip() or "empty" for one in _BRACES.findall(text))
    return list(dict.fromkeys(found))


def wrong_in_letter(text: str) -> str:
    """Say why a letter cannot be made of a text yet; empty where it can."""
    gaps = gaps_in(text)
    if gaps:
        return f"Fill in or strike: {'; '.join(gaps)}."
    if "{" in text or "}" in text:
        return "A brace is left over. Braces mark gaps; take it out."
    return ""


@dataclass(frozen=True)
class Piece:
    """Words of a paragraph, or a gap in them."""

    words: str
    gap: bool = False


def paragraphs(text: str) -> list[list[Piece]]:
    """Cut a letter's text at its empty lines, each paragraph into words and gaps."""
    cut = re.split(r"\n[ \t]*\n", text.replace("\r\n", "\n").strip())
    return [_pieces(one.strip("\n")) for one in cut if one.strip()]


def _pieces(paragraph: str) -> list[Piece]:
    found, end = [], 0
    for match in _BRACES.finditer(paragraph):
        found += [Piece(paragraph[end : match.start()]), Piece(match.group(1).strip(), gap=True)]
        end = match.end()
    found.append(Piece(paragraph[end:]))
    return [one for one in found if one.words]
