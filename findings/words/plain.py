"""Plain words for terms of findings, for people who do not know them; offered, never forced.

A term is looked up whole, never by how it begins or ends: a healed laceration is no laceration and
an electrical burn no burn by heat. A term that is not in the list gets no words.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Protocol

from findings.rules import FindingClass
from findings.words.counting import Cause, cause_of
from me_office.statements import Statement, statement_list

_FILE = Path(__file__).with_name("plain_words.json")
OPINION = ", in the examiner's opinion."


class NamedFinding(Protocol):
    """What plain words need of a finding."""

    klass: str
    term: str
    mechanism: str


@dataclass(frozen=True)
class PlainWords:
    """Plain words for one term; `by_firearm` are those for a gunshot wound, always an opinion."""

    plain: str
    is_opinion: bool = False
    by_firearm: str = ""

    def said(self, *, by_firearm: bool) -> str:
        """The sentence; what is somebody's opinion says so."""
        words = self.by_firearm if by_firearm and self.by_firearm else self.plain
        if self.is_opinion or words == self.by_firearm:
            return words.rstrip(".") + OPINION
        return words


@cache
def plain_list() -> dict[str, PlainWords]:
    """Return the office's list: term to plain words; where it comes from stands in the file."""
    found = {}
    for term, entry in _read()["terms"].items():
        said = {"plain": entry} if isinstance(entry, str) else entry
        found[term.casefold()] = PlainWords(
            said["plain"], bool(said.get("opinion")), said.get("firearm", "")
        )
    return found


@statement_list
def _as_listed() -> Iterator[Statement]:
    source = provenance()
    for term, words in plain_list().items():
        said = f"{term[:1].upper()}{term[1:]}: {words.said(by_firearm=False)}"
        yield Statement(f"plain.{term}", said, "Plain words", source)
        if words.by_firearm:
            said = f"{term[:1].upper()}{term[1:]}: {words.said(by_firearm=True)}"
            yield Statement(f"plain.{term}.firearm", said, "Plain words", source)


@cache
def terms_without_plain_words() -> dict[str, str]:
    """Return the terms that get no plain words on purpose, and why."""
    return {term.casefold(): why for term, why in _read()["none"].items()}


@cache
def provenance() -> str:
    """Return where the words come from and what to do before they are used."""
    read = _read()
    return f"{read['provenance']}; {read['caution']}"


def plain_words(finding: NamedFinding) -> str:
    """Return "Contusion: a bruise." for a finding; empty when the list has none for its term."""
    said = plainly(finding)
    return f"{' '.join(finding.term.split())}: {said[0].lower()}{said[1:]}" if said else ""


def plainly(finding: NamedFinding) -> str:
    """Return "A bruise." for a finding, where its term stands beside it."""
    known = plain_list().get(" ".join(finding.term.split()).casefold())
    if known is None:
        return ""
    shot = finding.klass == FindingClass.INJURY and (
        cause_of(finding.mechanism, finding.term) == Cause.FIREARM
    )
    return known.said(by_firearm=shot)


def plain_words_for(findings: Iterable[NamedFinding], *, longest: int | None = None) -> str:
    """Return the plain words of several findings, each once; whole sentences up to `longest`."""
    said = ""
    for words in dict.fromkeys(filter(None, map(plain_words, findings))):
        more = f"{said} {words}".strip()
        if longest is not None and len(more) > longest:
            break
        said = more
    return said


def _read() -> dict[str, dict[str, str]]:
    read: dict[str, dict[str, str]] = json.loads(_FILE.read_text(encoding="utf-8"))
    return read
