"""What one reading of a report says that another does not, word by word. No database.

Passages are matched by their keys, so that one that only moved is the same; words are compared as
they are written, with their marks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from cases.review.rules import MEANING, PATH
from me_office.differing import Piece, word_pieces


class Kind(StrEnum):
    """What became of a passage."""

    CHANGED = "changed"
    ADDED = "added"
    REMOVED = "removed"


@dataclass(frozen=True, slots=True)
class Difference:
    """A passage, fact or row that differs, under the title of its section."""

    key: str
    section: str
    called: str
    kind: Kind
    pieces: tuple[Piece, ...]


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """Return what differs between two contents (see `cases.review.content`).

    In the order of the later one; what is gone stands where its section ended.
    """
    was = {key: (section, called, words) for section, key, called, words in _parts(before)}
    found: list[Difference] = []
    sections: dict[str, list[Difference]] = {}
    seen = set()
    for section, key, called, words in _parts(after):
        seen.add(key)
        of = sections.setdefault(section, [])
        if key not in was:
            of.append(Difference(key, section, called, Kind.ADDED, (Piece("after", words),)))
        elif was[key][2] != words:
            pieces = word_pieces(was[key][2], words)
            of.append(Difference(key, section, called, Kind.CHANGED, pieces))
    for key, (section, called, words) in was.items():
        if key not in seen:
            gone = Difference(key, section, called, Kind.REMOVED, (Piece("before", words),))
            sections.setdefault(section, []).append(gone)
    for of in sections.values():
        found += of
    return found


def reads_as_before(key: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    """Tell whether a passage, or a section's table, says in both readings the same.

    `key` is what a comment was made on: a passage's key, or the section's for its table.
    """
    return _words_at(key, before) == _words_at(key, after)


def _words_at(key: str, content: Mapping[str, Any]) -> list[object]:
    found: list[object] = []
    for section in content["sections"]:
        found += [one["text"] for one in section["passages"] if one["key"] == key]
        if section["key"] == key:
            found.append(section.get("rows", []))
    return found


def _parts(content: Mapping[str, Any]) -> Iterator[tuple[str, str, str, str]]:
    """Yield section, key, what it is called, and words of each fact, passage and row."""
    for fact in content["facts"]:
        yield "", f"fact-{fact['label']}", fact["label"], fact["text"]
    for section in content["sections"]:
        title = section["title"]
        for passage in section["passages"]:
            yield title, passage["key"], _called(passage), passage["text"]
        for key, cells in _rows(section):
            yield title, key, cells[0], ", ".join(cell for cell in cells[1:] if cell)


def _rows(section: Mapping[str, Any]) -> Iterator[tuple[str, Sequence[str]]]:
    """Yield a table's rows by what they begin with: a row that was put between moves no other."""
    count: dict[str, int] = {}
    for cells in section.get("rows", []):
        number = count[cells[0]] = count.get(cells[0], 0) + 1
        yield f"{section['key']}-row-{cells[0]}-{number}", cells


def _called(passage: Mapping[str, Any]) -> str:
    told = passage.get("told") or ([passage] if passage.get("number") else [])
    if told:
        return f"Finding {', '.join(str(one['number']) for one in told)}"
    if passage["key"].endswith(PATH):
        return f"The path of finding {passage['key'].split('-')[1]}"
    if passage["key"].endswith(MEANING):
        return f"What finding {passage['key'].split('-')[1]} means"
    return str(passage.get("lead", ""))
