"""How the office says some things in its reports, where it has words of its own. No database.

What may be said otherwise is a `Wording`: a sentence or the beginning of one, the name of a layer,
or the term of a finding. What a person typed is never among them. The standard words are common
practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from string import Formatter
from typing import Final

from findings.words.layers import LAYER_WORDS
from findings.words.sentences import begin_small

LONGEST: Final = 200


@dataclass(frozen=True, slots=True)
class Wording:
    """Something that a report says, under the key by which the office may say it otherwise.

    `sample` are values of its blanks, to show how it reads.
    """

    key: str
    standard: str
    where: str
    sample: Mapping[str, str] = field(default_factory=dict)

    @property
    def blanks(self) -> tuple[str, ...]:
        """The names of what is filled in, in order."""
        return _blanks(self.standard)

    def reads(self, words: str) -> str:
        """Show how words of the office's own read with something filled in."""
        return words.format_map(self.sample) if self.sample else words


def _blanks(words: str) -> tuple[str, ...]:
    return tuple(
        "?" if spec or conversion else name
        for _, name, spec, conversion in Formatter().parse(words)
        if name is not None
    )


SENTENCES: Final = (
    Wording(
        "sentence.numbers",
        "numbers in brackets are those of the body chart; P marks a photograph",
        "before the first injury",
    ),
    Wording(
        "sentence.marks-within",
        "within the outlined area are {count} separate marks",
        "a pattern that was outlined and counted",
        {"count": "12 to 15"},
    ),
    Wording("sentence.beneath-one", "beneath it", "the first layer under a finding"),
    Wording("sentence.beneath-many", "beneath them", "the first layer under several findings"),
    Wording(
        "sentence.not-examined-one",
        "{layers} was not examined",
        "a layer that was not looked at",
        {"layers": "the pleura"},
    ),
    Wording(
        "sentence.not-examined-many",
        "{layers} were not examined",
        "layers that were not looked at",
        {"layers": "the muscle and the pleura"},
    ),
    Wording(
        "sentence.no-injury-one",
        "{it} is a change after death, not an injury",
        "a change after death",
        {"it": "the drying artifact"},
    ),
    Wording(
        "sentence.no-injury-many",
        "{it} are changes after death, not an injury",
        "several changes after death",
        {"it": "the marks of immersion"},
    ),
)
_SENTENCES: Final = {one.key: one for one in SENTENCES}


def key_of(kind: str, words: str) -> str:
    """Return the key of a layer's name or a finding's term: `layer.subcutaneous-tissue`."""
    return f"{kind}.{'-'.join(re.findall(r'[a-z0-9]+', words.lower()))}"


def layer_wordings() -> list[Wording]:
    """Return the names of the layers as they are printed."""
    names = dict.fromkeys(LAYER_WORDS.values())
    return [Wording(key_of("layer", name), name, "a layer’s name") for name in names]


def term_wordings(terms: Iterable[str]) -> list[Wording]:
    """Return the terms of findings, each of which a report may call otherwise."""
    found = {key_of("term", term): term for term in terms}
    return [Wording(key, begin_small(term), "a finding’s term") for key, term in found.items()]


def wrong_with(wording: Wording, words: str) -> str:
    """Return why these cannot be the office's words for it; empty where they can."""
    if not words.strip():
        return "Write the words."
    if len(words) > LONGEST:
        return f"At most {LONGEST} characters."
    if "\n" in words or "\r" in words:
        return "On one line."
    try:
        blanks = _blanks(words)
        words.format_map(wording.sample)
    except (ValueError, KeyError, IndexError, AttributeError):
        blanks = ("?",)
    if sorted(blanks) != sorted(wording.blanks):
        if not wording.blanks:
            return "Without braces: nothing is filled in here."
        needed = " and ".join(f"{{{name}}}" for name in wording.blanks)
        return f"{needed} has to stand in it once, and nothing else in braces."
    if words.rstrip().endswith((".", "!", "?", ";", ":", ",")):
        return "Without a mark at the end: the report adds it."
    if wording.key.startswith("layer.") and re.match(r"(the|a|an)\b", words, re.IGNORECASE):
        return "Without an article: the report adds it."
    if words.strip() == wording.standard:
        return "This is the standard wording."
    return ""


@dataclass(frozen=True)
class Phrasing:
    """The office's own words by key; whatever is not among them is said in the standard ones."""

    own: Mapping[str, str] = field(default_factory=dict)

    def say(self, key: str, **values: str) -> str:
        """Say a sentence, or what one begins with; `key` is one of SENTENCES without its kind."""
        whole = f"sentence.{key}"
        return self.own.get(whole, _SENTENCES[whole].standard).format_map(values)

    def layer(self, name: str) -> str:
        """Return what a layer is called."""
        return self.own.get(key_of("layer", name), name)

    def term(self, term: str) -> str:
        """Return what a finding is called."""
        return self.own.get(key_of("term", term), term)


STANDARD: Final = Phrasing()
