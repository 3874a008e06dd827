"""What the places of one death say together: times that don't go with one another.

They ask and never refuse: two clocks, two witnesses, or a record made later may differ.
No database, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations
from typing import Final

from me_office.statements import COMMON_PRACTICE, statement

INJURY, DEATH, VEHICLE = "injury", "died", "vehicle"


READ_AT: Final = "Scene, other places and positions"
TWO_AT_ONCE: Final = statement(
    "places.two-at-once",
    "The decedent is recorded at two places at one time: {one}, and {other}.",
    where=READ_AT,
    source=COMMON_PRACTICE,
)
INJURY_LATER: Final = statement(
    "places.injury-later",
    "The place of the injury ({one}) is recorded with a later time than the place of death "
    "({other}).",
    where=READ_AT,
    source=COMMON_PRACTICE,
)


@dataclass(frozen=True)
class Stay:
    """One place as these rules see it; moments are aware."""

    kind: str
    address: str
    since: datetime | None = None
    until: datetime | None = None


def place_questions(stays: Iterable[Stay]) -> list[str]:
    """Return what to look at again, in the order of the places. Common practice."""
    asked = (_of_two(one, other) for one, other in combinations(list(stays), 2))
    return [words for words in asked if words]


def _of_two(one: Stay, other: Stay) -> str:
    injury, death = (one, other) if one.kind == INJURY else (other, one)
    if (injury.kind, death.kind) == (INJURY, DEATH) and _began_after(injury, death):
        return INJURY_LATER.say(one=injury.address, other=death.address)
    if _apart(one, other) and _overlap(one, other):
        return TWO_AT_ONCE.say(one=one.address, other=other.address)
    return ""


def _began_after(injury: Stay, death: Stay) -> bool:
    """Tell whether the injury's time begins when the stay at the place of death was over."""
    return injury.since is not None and death.until is not None and injury.since > death.until


def _apart(one: Stay, other: Stay) -> bool:
    """Tell whether both can't be one place: a vehicle stands at another, a room lies in a house."""
    if VEHICLE in {one.kind, other.kind}:
        return False
    names = sorted(" ".join(stay.address.casefold().split()) for stay in (one, other))
    return not names[1].startswith(names[0])


def _overlap(one: Stay, other: Stay) -> bool:
    """Tell whether both stays were at one time; whoever leaves as the other begins was moved.

    A stay without an end or a beginning is one moment: what is not written is not concluded.
    """
    first, last = one.since or one.until, one.until or one.since
    begins, ends = other.since or other.until, other.until or other.since
    if first is None or last is None or begins is None or ends is None:
        return False
    if first == last:
        return begins < first < ends
    if begins == ends:
        return first < begins < last
    return max(first, begins) < min(last, ends)
