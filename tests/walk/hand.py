"""The frame of an act: who acts, what it needs, and how what is sent is changed for a retry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from me_office.accounts.models import Staff
from tests.walk.model import Account, Row

WORDS = st.sampled_from(
    ["Old scar", "Café “Élan”", "<b>5 & 6</b>", "two\nlines", "'; --", "Ü" * 60, "0"]
)


class Hand:
    """What an act is made of: the account, the one who acts, and values drawn by Hypothesis."""

    def __init__(self, account: Account, draw: Callable[..., Any], actor: Staff) -> None:
        self.account, self.draw, self.actor = account, draw, actor

    def words(self) -> str:
        """Return some words."""
        return str(self.draw(WORDS))

    def one(self, rows: list[Row]) -> Row:
        """Return one of several rows."""
        return self.draw(st.sampled_from(rows))  # type: ignore[no-any-return]


Make = Callable[[Hand], dict[str, Any]]
Needs = Callable[[Account], Any]


@dataclass(frozen=True)
class Kind:
    """One kind of act. `changes` names the keyword that says which row is changed, if one is."""

    function: Callable[..., Any]
    label: str
    make: Make
    needs: Needs = lambda _: True
    changes: str = ""


def other_words(keywords: dict[str, Any]) -> dict[str, Any]:
    """Return what was sent with one text changed: in the entry, else beside it."""
    entry = dict(keywords.get("entry", {}))
    for name in TEXTS:
        if isinstance(entry.get(name), str):
            return {**keywords, "entry": {**entry, name: entry[name][:15] + " or not"}}
        if isinstance(keywords.get(name), str):
            return {**keywords, name: keywords[name] + " or not"}
    raise AssertionError(f"no text in {sorted(keywords)} {sorted(entry)}")


# In the order in which one is looked for; `reason` last: it says why, not what.
TEXTS = ("clothing", "kept_at", "name", "relation", "phone", "colour", "shape", "found", "shows",
         "container", "place", "broken_why", "cause_a", "opinion", "note", "words", "comment",
         "answer", "text", "asks_for", "party", "number", "reason")  # fmt: skip
