"""Sentences with blanks: what a blank asks for, and what may be filled in. No database.

    {greatest thickness in cm, 0.1 to 3}    a number with its unit and the range it may have
    {color: pale / pink / reddened}         one of several words
    {what is seen}                          free words
    {weight of heart in g}                  a weight, on a line of its own

A weight stands alone: it is kept with the organ weights, the report prints it in their table, and
the text does not say it a second time.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import lru_cache
from typing import Final

LONGEST_LINE: Final = 400
LONGEST_LABEL: Final = 60
LONGEST_WORDS: Final = 200
_BRACES: Final = re.compile(r"\{([^{}]*)\}")
_WEIGHT: Final = re.compile(r"weight of (.+) in g")
_NUMBER: Final = re.compile(r"(.+) in (\S{1,10}), (\d+(?:\.\d+)?) to (\d+(?:\.\d+)?)")
_TYPED: Final = re.compile(r"\d{1,6}(?:\.\d{1,3})?")


class Kind(StrEnum):
    """What a blank asks for."""

    NUMBER = "number"
    CHOICE = "choice"
    WORDS = "words"
    WEIGHT = "weight"


class WrongLine(Exception):
    """A line that cannot be a sentence of a template; its words say why."""


@dataclass(frozen=True)
class Blank:
    """One blank of a sentence, by its label."""

    label: str
    kind: Kind
    unit: str = ""
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    choices: tuple[str, ...] = ()
    organ: str = ""

    @property
    def asks(self) -> str:
        """What may be filled in, in words: "0.1 to 3 cm"; empty for free words."""
        if self.kind is Kind.NUMBER:
            return f"{self.low} to {self.high} {self.unit}"
        return " / ".join(self.choices)


@lru_cache(maxsize=2048)
def pieces(line: str) -> tuple[str | Blank, ...]:
    """Cut a line into its words and its blanks. Raises WrongLine."""
    found: list[str | Blank] = []
    end = 0
    for match in _BRACES.finditer(line):
        found += [line[end : match.start()], _blank(match.group(1).strip())]
        end = match.end()
    found.append(line[end:])
    kept = tuple(one for one in found if one != "")
    if any(isinstance(one, str) and ("{" in one or "}" in one) for one in kept):
        raise WrongLine("A brace is open or closed without the other.")
    labels = [one.label for one in kept if isinstance(one, Blank)]
    for label in labels:
        if labels.count(label) > 1:
            raise WrongLine(f"Two blanks of one sentence are called “{label}”.")
    return kept


def blanks_of(line: str) -> list[Blank]:
    """Return the blanks of a line in their order. Raises WrongLine."""
    return [one for one in pieces(line) if isinstance(one, Blank)]


def weight_of(line: str) -> str:
    """Return the organ whose weight a line asks for; empty for any other line."""
    blanks = blanks_of(line)
    return blanks[0].organ if len(blanks) == 1 else ""


def wrong_with_line(line: str, organs: Collection[str]) -> str:
    """Say why a line cannot stand in a template; empty where it can.

    `organs` are those that are weighed.
    """
    if len(line) > LONGEST_LINE:
        return f"A sentence has at most {LONGEST_LINE} characters."
    try:
        cut = pieces(line)
    except WrongLine as wrong:
        return str(wrong)
    weights = [one for one in cut if isinstance(one, Blank) and one.kind is Kind.WEIGHT]
    if weights and len(cut) > 1:
        return (
            "Put the weight on a line of its own: the report prints it in the table of organ "
            "weights, not in the text as well."
        )
    if weights:
        organ = weights[0].organ
        return "" if organ in organs else f"No organ called “{organ}” is weighed here."
    first = cut[0] if cut else ""
    if isinstance(first, str) and not (first[:1].isupper() or first[:1].isdigit()):
        return "Begin the sentence with a capital letter."
    if not line.endswith((".", "!", "?")):
        return "End the sentence with a period."
    return ""


def wrong_with_value(blank: Blank, value: str) -> str:
    """Say why a value cannot stand in a blank; empty where it can."""
    value = value.strip()
    if not value:
        return f"Fill in “{blank.label}”, or strike the sentence."
    if blank.kind is Kind.CHOICE:
        return "" if value in blank.choices else f"Choose one of: {', '.join(blank.choices)}."
    if blank.kind is Kind.WORDS:
        if "{" in value or "}" in value:
            return "Braces mark a blank; leave them out."
        if len(value) > LONGEST_WORDS:
            return f"At most {LONGEST_WORDS} characters."
        return ""
    if not _TYPED.fullmatch(value):
        return "Write a number with a decimal point, such as 1.4."
    if blank.kind is Kind.NUMBER and not blank.low <= Decimal(value) <= blank.high:
        return f"Between {blank.low} and {blank.high} {blank.unit}."
    return ""


def filled_in(line: str, filled: Mapping[str, str]) -> tuple[str, dict[str, str]]:
    """Return the sentence with its blanks filled in, and what is wrong by label.

    A number is said without its unit, which stands in the sentence; a line that asks for a weight
    says nothing.
    """
    said, wrong = [], {}
    for one in pieces(line):
        if isinstance(one, str):
            said.append(one)
        elif one.kind is not Kind.WEIGHT:
            value = " ".join(filled.get(one.label, "").split())
            if problem := wrong_with_value(one, value):
                wrong[one.label] = problem
            said.append(_as_said(one, value))
    words = "".join(said)
    return words[:1].upper() + words[1:], wrong


def _as_said(blank: Blank, value: str) -> str:
    if blank.kind is Kind.NUMBER:
        try:
            return f"{Decimal(value).normalize():f}"
        except InvalidOperation:
            return value
    return value.rstrip(".") if blank.kind is Kind.WORDS else value


def _blank(inside: str) -> Blank:
    if weight := _WEIGHT.fullmatch(inside):
        return Blank(inside, Kind.WEIGHT, unit="g", organ=weight.group(1))
    if number := _NUMBER.fullmatch(inside):
        label, unit, low, high = number.groups()
        if Decimal(low) >= Decimal(high):
            raise WrongLine(f"The range of “{label}” has to go from a smaller number to a larger.")
        return _named(Blank(label, Kind.NUMBER, unit=unit, low=Decimal(low), high=Decimal(high)))
    if ":" in inside:
        label, _, rest = inside.partition(":")
        choices = tuple(one.strip() for one in rest.split("/"))
        if len(choices) < 2 or not all(choices):
            raise WrongLine(f"Give “{label.strip()}” two choices or more, with / between them.")
        if len(set(choices)) < len(choices):
            raise WrongLine(f"Two choices of “{label.strip()}” are the same.")
        return _named(Blank(label.strip(), Kind.CHOICE, choices=choices))
    return _named(Blank(inside, Kind.WORDS))


def _named(blank: Blank) -> Blank:
    if not blank.label:
        raise WrongLine("Give the blank a name: {what is seen}.")
    if len(blank.label) > LONGEST_LABEL:
        raise WrongLine(f"The name of a blank has at most {LONGEST_LABEL} characters.")
    return blank
