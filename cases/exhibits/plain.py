"""Plain-language words for the findings that an exhibit shows; offered, never forced."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("plain_words.json")
# Terms of the chart that the list names in other words.
_ALSO = {
    "gunshot wound of entrance": "entrance wound",
    "gunshot wound of exit": "exit wound",
    "rigor": "rigor mortis",
    "patterned abrasion": "patterned injury",
    "burn": "thermal burn",
    "scald": "thermal burn",
    "bruise": "contusion",
}


@cache
def plain_list() -> dict[str, str]:
    """Return the office's list: term to plain words; where it comes from stands in the file."""
    read = json.loads(_FILE.read_text(encoding="utf-8"))
    terms: dict[str, str] = read["terms"]
    return {term.casefold(): plain for term, plain in terms.items()}


def plain_words(term: str) -> str:
    """Return "Contusion: a bruise." for a finding's term; empty when the list has none."""
    said = term.strip().casefold()
    known = plain_list()
    names = {**{name: name for name in known}, **_ALSO}
    # The longest name that the term begins or ends with: subdural hemorrhage before hemorrhage.
    fitting = [name for name in names if said.startswith(name) or said.endswith(name)]
    if not said or not fitting:
        return ""
    plain = known[names[max(fitting, key=len)]]
    return f"{term.strip()}: {plain[0].lower()}{plain[1:]}"


def plain_words_for(terms: Iterable[str]) -> str:
    """Return the plain words of several findings, each term once."""
    return " ".join(dict.fromkeys(filter(None, map(plain_words, terms))))
