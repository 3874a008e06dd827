"""Findings whose own text was written from data that say something else now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from findings.models import Finding
from findings.queries import changed_since_worded
from me_office.differing import Piece


@dataclass(frozen=True, slots=True)
class Edited:
    """A finding's own text, and how the words from its data changed since it was written.

    No `pieces` where only this is known: that the finding was changed.
    """

    finding_id: UUID
    number: int
    term: str
    words: str
    pieces: tuple[Piece, ...]


def edited_apart(findings: Iterable[Finding]) -> list[Edited]:
    """Return, by number, the findings whose own text may no longer fit; no statement."""
    found = []
    for one in findings:
        pieces = changed_since_worded(one)
        if pieces or (one.sentence_is_older and not one.sentence_from):
            found.append(Edited(one.pk, one.number, one.term, one.sentence, pieces))
    return found
