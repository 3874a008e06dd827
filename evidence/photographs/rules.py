"""The order of photographs, outlines on them, when they were taken. No database, no clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from me_office.audit.errors import Refused

# Where a form has a photograph's file.
FIELD = "upload"

ORIGINAL_PURPOSE = "storage of the original"


@dataclass(frozen=True)
class Shot:
    """A photograph, as the rules see it."""

    number: int
    view: str
    with_scale: bool
    region: str
    shows: str
    finding_ids: frozenset[UUID] = frozenset()
    id: UUID | None = None
    series_ids: frozenset[UUID] = frozenset()
    place: str = ""
    taken_at: datetime | None = None


NEARNESS = ("overview", "mid-range", "close-up")


def nearer_later(shot: Shot) -> tuple[int, bool, int]:
    """Order photographs of one area: from further to nearer, without the scale first."""
    place = NEARNESS.index(shot.view) if shot.view in NEARNESS else len(NEARNESS)
    return place, shot.with_scale, shot.number


MOST_CORNERS = 400


def checked_outline(outline: Any) -> list[list[float]] | None:
    """Return a pointer or outline as it is kept, None for none. Raises Refused.

    Points are [x, y] of the upright picture, 0 to 1 from its upper left corner.
    """
    if outline in (None, []):
        return None
    if not isinstance(outline, list) or len(outline) > MOST_CORNERS:
        raise _refused_outline(f"An outline has at most {MOST_CORNERS} corners.")
    points = [_point(each) for each in outline]
    if len(points) == 1:
        return points
    if len({(x, y) for x, y in points}) < 3:
        raise _refused_outline("One point is a pointer; an outline needs three corners or more.")
    if _area(points) < 1e-7:
        raise _refused_outline("The corners are in one line; an outline has to enclose an area.")
    return points


def _point(given: Any) -> list[float]:
    numbers = given if isinstance(given, list) and len(given) == 2 else []
    if not numbers or any(
        isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1
        for value in numbers
    ):
        raise _refused_outline("Every point has to be inside the picture.")
    return [round(float(value), 6) for value in numbers]


def _area(points: Sequence[Sequence[float]]) -> float:
    around = zip(points, [*points[1:], points[0]], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around)) / 2


def _refused_outline(words: str) -> Refused:
    return Refused(words, field="outline")


def check_taken(taken_at: datetime | None, *, now: datetime) -> None:
    """Refuse a photograph from the future. Raises Refused."""
    if taken_at is not None and taken_at > now:
        raise Refused("The time it was taken is in the future.", field="taken_at")


def behind_the_cover(view: str, region: str, shows: str) -> str:
    """Name what a veiled picture shows: Close-up, right chest, contusion."""
    first = shows.strip().split(". ")[0].rstrip(".")
    short = first if len(first) <= 70 else f"{first[:67].rsplit(' ', 1)[0]} …"
    words = ", ".join(part for part in (view, region.strip(), short) if part)
    return words[:1].upper() + words[1:]
