"""Whether two entries name one person, as far as words tell. No database."""

from __future__ import annotations

from collections.abc import Iterable


def is_one_of(name: str, people: Iterable[str]) -> bool:
    """Tell whether a name is among others; capitals, points and spacing do not count.

    What follows the first comma of one of the two (credentials, a firm) does not count either.
    """
    return any(_is_same(name, each) for each in people)


def _is_same(one: str, other: str) -> bool:
    # Never both without what follows: "Teal, A." and "Teal, B." are two.
    whole, others = plain_name(one), plain_name(other)
    heads = plain_name(one.partition(",")[0]), plain_name(other.partition(",")[0])
    return bool(whole and others) and (whole == others or heads[0] == others or whole == heads[1])


def plain_name(name: str) -> str:
    """Return a name without capitals, points and superfluous spacing."""
    return " ".join(name.replace(".", " ").split()).casefold()
