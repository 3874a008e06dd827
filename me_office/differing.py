"""What one text says that another does not, word by word. No database."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Literal

# More words than this are not compared one by one: the whole text is shown as it was and is.
MOST_WORDS = 3000


@dataclass(frozen=True, slots=True)
class Piece:
    """Words that both say, that only the earlier says, or that only the later says."""

    of: Literal["both", "before", "after"]
    words: str


def word_pieces(before: str, after: str) -> tuple[Piece, ...]:
    """Return the words of two texts in order: what both say, then what one says alone.

    A blank stands between two pieces, whatever stood there in the texts.
    """
    old, new = before.split(), after.split()
    if max(len(old), len(new)) > MOST_WORDS:
        return tuple(_alone(old, new))
    pieces: list[Piece] = []
    for what, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "equal":
            pieces.append(Piece("both", " ".join(new[c:d])))
        else:
            pieces += _alone(old[a:b], new[c:d])
    return tuple(pieces)


def _alone(before: Sequence[str], after: Sequence[str]) -> Iterator[Piece]:
    if before:
        yield Piece("before", " ".join(before))
    if after:
        yield Piece("after", " ".join(after))
