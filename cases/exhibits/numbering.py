"""A side's own numbers for a whole set: how they are made, and in which order they are written.

No database, no clock.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

LONGEST = 24
LONGEST_BEFORE = 12
_WHOLE = re.compile(r"(\D*)(\d{1,5})(?:-?[A-Z]{1,2})?", re.IGNORECASE)
_LETTERED = re.compile(r"(.*\d)-?([A-Z]{1,2})", re.IGNORECASE)


def numbers_for(joined: Sequence[bool], *, prefix: str, first: int, digits: int) -> list[str]:
    """Return the numbers of a set in its order.

    Where an exhibit is `joined` with the one before it, both share a number and get letters:
    14-A, 14-B. `digits` is the least width of a number: 014.
    """
    runs: list[int] = []
    for goes_with in joined:
        if goes_with and runs:
            runs[-1] += 1
        else:
            runs.append(1)
    numbers = []
    for number, length in enumerate(runs, start=first):
        whole = f"{prefix}{number:0{digits}d}"
        if length == 1:
            numbers.append(whole)
        else:
            numbers.extend(f"{whole}-{letters(place)}" for place in range(length))
    return numbers


def letters(place: int) -> str:
    """Return A for 0, Z for 25, AA for 26."""
    before, own = divmod(place, 26)
    return (letters(before - 1) if before else "") + chr(ord("A") + own)


def joined_now(numbers: Sequence[str]) -> list[bool]:
    """Tell of each number whether it shares its figures with the one before: 14-A, 14-B."""
    stems = [_stem(number) for number in numbers]
    return [bool(at and stem and stem == stems[at - 1]) for at, stem in enumerate(stems)]


def rule_now(number: str) -> dict[str, Any]:
    """Return the rule by which a first number seems to be given; of none, from 1 upward."""
    found = _WHOLE.fullmatch(number.strip())
    if found is None or len(found[1]) > LONGEST_BEFORE:
        return {"before": "", "first": 1, "digits": 1}
    before, figures = found[1], found[2]
    return {
        "before": before,
        "first": int(figures),
        "digits": len(figures) if figures.startswith("0") else 1,
    }


def _stem(number: str) -> str:
    found = _LETTERED.fullmatch(number.strip())
    return found[1].casefold() if found else ""


def wrong_number(numbers: Sequence[str]) -> str:
    """Say what keeps these from being the numbers of a set; empty when nothing does."""
    seen: set[str] = set()
    for number in numbers:
        if not number:
            return "Every exhibit needs a number."
        if len(number) > LONGEST:
            return f"{number} is too long: at most {LONGEST} characters."
        if same(number) in seen:
            return f"Two exhibits would have the number {number}."
        seen.add(same(number))
    return ""


def same(number: str) -> str:
    """Return what two numbers have in common that a set takes for the same."""
    return number.strip().upper()


def steps(now: Sequence[str], wanted: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Yield (which exhibit, its number) so that no two ever have the same number in between.

    One whose number is free goes first. Where numbers change places in a circle, one of them
    steps aside under a number that nobody has.
    """
    held = list(now)
    taken = {same(number): at for at, number in enumerate(now)}
    wanting = {same(number): at for at, number in enumerate(wanted)}
    left = {at for at in range(len(now)) if now[at] != wanted[at]}
    ready = [at for at in sorted(left) if taken.get(same(wanted[at]), at) == at]
    while left:
        if ready:
            at = ready.pop()
            left.discard(at)
            number = wanted[at]
        else:
            at = min(left)
            number = _aside(taken.keys() | wanting.keys())
        freed = same(held[at])
        yield at, number
        taken.pop(freed, None)
        held[at] = number
        taken[same(number)] = at
        waits = wanting.get(freed)
        if waits in left and waits not in ready and waits != at:
            ready.append(waits)


def _aside(taken: set[str]) -> str:
    tries = (f"renumbering {number}" for number in range(1, len(taken) + 2))
    return next(number for number in tries if same(number) not in taken)
