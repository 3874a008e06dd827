"""Decisions about accounts: names to sign in with, passwords to begin with, who may change what."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from me_office.accounts.roles import Role

_USERNAME = re.compile(r"[a-z][a-z0-9.-]{1,29}")
# Syllables that are read out at the telephone without being spelled.
_CONSONANTS, _VOWELS = "bdfgklmnprstvz", "aeiou"
_GROUPS, _SYLLABLES = 5, 2


@dataclass(frozen=True)
class Refusal:
    """Why something about an account can't be so, and which field it is about."""

    field: str | None
    words: str


def wrong_username(text: str) -> str:
    """Return why a user name cannot be used, or nothing."""
    if _USERNAME.fullmatch(text):
        return ""
    return "Two to thirty lowercase letters, digits, dots or hyphens, starting with a letter."


def name_taken_words(name: str, *, is_open: bool) -> str:
    """Return why a printed name is refused that another account carries."""
    whose = "Someone in this office" if is_open else "A closed account"
    return (
        f"{whose} has this printed name ({name}). Add what tells the two apart in a report, "
        "such as a middle initial."
    )


def new_password(choose: Callable[[Sequence[str]], str]) -> str:
    """Return a password to begin with: five groups of two syllables, about 61 bits.

    `choose` picks one of a sequence at random (`secrets.choice`).
    """
    groups = (
        "".join(choose(_CONSONANTS) + choose(_VOWELS) for _ in range(_SYLLABLES))
        for _ in range(_GROUPS)
    )
    return "-".join(groups)


def why_not_changed(
    *, own: bool, before: frozenset[Role], after: frozenset[Role]
) -> Refusal | None:
    """Tell why somebody's roles cannot be changed so.

    Nobody gives roles to themselves: so there is always a second person who knows, and the last
    administrator cannot leave the office without one.
    """
    if own and before != after:
        return Refusal("roles", "Another administrator has to change your own roles.")
    return None


def why_not_closed(*, own: bool, is_open: bool) -> Refusal | None:
    """Tell why an account cannot be closed."""
    if own:
        return Refusal(None, "Another administrator has to close your account.")
    if not is_open:
        return Refusal(None, "This account is already closed.")
    return None
