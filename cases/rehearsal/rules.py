"""How an answer came, and which questions are asked again. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """How an answer came in rehearsal."""

    CAME = "came"
    AGAIN = "again"


OUTCOMES = [(Outcome.CAME.value, "came at once"), (Outcome.AGAIN.value, "come back to it")]


@dataclass(frozen=True)
class Standing:
    """How far a witness is with some questions."""

    came: int = 0
    again: int = 0
    unasked: int = 0

    @property
    def is_done(self) -> bool:
        """Tell whether every answer came at once."""
        return bool(self.came) and not self.again and not self.unasked

    @property
    def words(self) -> str:
        """The same in words: 9 came at once, 2 to come back to."""
        if not self.came and not self.again:
            return "not rehearsed yet"
        parts = [f"{self.came} came at once"] if self.came else []
        parts += [f"{self.again} to come back to"] if self.again else []
        parts += [f"{self.unasked} not asked yet"] if self.unasked else []
        return ", ".join(parts)


def standing(asked: Iterable[str], outcomes: Mapping[str, str]) -> Standing:
    """Return how far a witness is with the questions that are asked now.

    An outcome of a question that is asked no more counts for nothing.
    """
    keys = list(asked)
    came = sum(outcomes.get(key) == Outcome.CAME for key in keys)
    again = sum(outcomes.get(key) == Outcome.AGAIN for key in keys)
    return Standing(came, again, len(keys) - came - again)
