"""Times that cannot follow one another as they are recorded. No database, no clock.

Two clocks may differ, and a witness may err: a rule only asks. Moments are aware. A time that is
"about" counts an hour either way (common practice), one that is unknown says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from me_office.statements import COMMON_PRACTICE, statement

OUT_OF_ORDER: Final = statement(
    "checks.times",
    "{later} is recorded before {earlier}.",
    where="Checks of a case",
    source=COMMON_PRACTICE,
)
ABOUT: Final = timedelta(hours=1)
# Two clocks that were not compared may differ by this much.
CLOCKS: Final = timedelta(minutes=10)


@dataclass(frozen=True)
class When:
    """A recorded time: its name in a sentence, where it stands, its first and last moment."""

    name: str
    page: str
    at: datetime | None = None
    until: datetime | None = None

    @property
    def first(self) -> datetime | None:
        """The earliest moment that it may be."""
        return self.at

    @property
    def last(self) -> datetime | None:
        """The latest moment that it may be."""
        return self.until or self.at


def uncertain(name: str, page: str, certainty: str, at: datetime | None,
              until: datetime | None) -> When:  # fmt: skip
    """Return a time with its certainty: exact, about, between or unknown."""
    if certainty == "unknown" or at is None:
        return When(name, page)
    if certainty == "about":
        return When(name, page, at - ABOUT, at + ABOUT)
    return When(name, page, at, until if certainty == "between" else at)


@dataclass(frozen=True)
class Times:
    """The times of a case that have to follow one another; one that is not recorded is empty."""

    last_alive: When
    found: When
    pronounced: When
    scene_reached: When
    rigor_seen: When
    lividity_seen: When
    body_received: When
    examination_began: When
    death: When
    first_specimen: When


@dataclass(frozen=True)
class Late:
    """Two times the wrong way round."""

    earlier: When
    later: When

    @property
    def words(self) -> str:
        """The sentence."""
        later = self.later.name
        return OUT_OF_ORDER.say(later=later[:1].upper() + later[1:], earlier=self.earlier.name)


def out_of_order(times: Times) -> Iterator[Late]:
    """Yield every pair whose later time ends before the earlier one begins."""
    found_alive = _is_before(times.found, times.last_alive) and not _is_before(
        times.pronounced, times.last_alive
    )
    pairs = [
        (times.last_alive, times.pronounced),
        (times.last_alive, times.rigor_seen),
        (times.last_alive, times.lividity_seen),
        (times.last_alive, times.body_received),
        (times.found, times.body_received),
        (times.found, times.scene_reached),
        (times.pronounced, times.body_received),
        (times.body_received, times.examination_began),
        (times.found, times.examination_began),
        (times.found, times.first_specimen),
        (times.death, times.rigor_seen),
        (times.death, times.examination_began),
        (times.death, times.pronounced),
    ]
    if not (found_alive and times.pronounced.at):
        # Whoever was found alive was seen alive after it.
        pairs.insert(0, (times.last_alive, times.found))
    for earlier, later in pairs:
        if _is_before(later, earlier):
            yield Late(earlier, later)


def _is_before(later: When, earlier: When) -> bool:
    """Tell whether the later time is over before the earlier one may have begun."""
    if later.last is None or earlier.first is None:
        return False
    return later.last + CLOCKS < earlier.first
