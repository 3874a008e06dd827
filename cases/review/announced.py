"""What else happens when somebody signs, as another room says it: told before the signature."""

from __future__ import annotations

from collections.abc import Callable

from me_office.accounts.models import Staff

_SAYS: list[Callable[[Staff], str]] = []


def register(says: Callable[[Staff], str]) -> None:
    """Let a room say, before somebody signs, what follows from it; one statement at most."""
    _SAYS.append(says)


def said_before_signing(actor: Staff) -> str:
    """Return what follows from a signature of this person; empty where nothing does."""
    return " ".join(words for says in _SAYS if (words := says(actor)))
