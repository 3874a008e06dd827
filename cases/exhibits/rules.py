"""What a redaction may say, where an exhibit goes in its order, and which number comes next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

GAP = 1024
# How many photographs one exhibit may hold, and how many of them stand beside each other.
GRIDS = {1: 1, 2: 2, 3: 3, 4: 2, 6: 3}
MOST_REGIONS = 40
MOST_POINTS = 60
# Below this a region is a slip of the hand, not something to hide.
LEAST_SIDE_PX = 4
# A compressed picture spreads detail within its blocks, at most 16 × 16 points (ITU-T T.81, with
# 2 × 2 chroma subsampling): this much around a region is hidden with it.
MARGIN_PX = 16
# A blurred region keeps at most this many mean colors along its shorter side, in so many steps.
BLUR_CELLS = 6
BLUR_STEP = 16


class Shape(StrEnum):
    """How a region is drawn."""

    RECTANGLE = "rectangle"
    POLYGON = "polygon"


class Manner(StrEnum):
    """How a region is hidden."""

    COVER = "cover"
    BLUR = "blur"


Point = tuple[int, int]


@dataclass(frozen=True)
class Region:
    """A part of a picture that is hidden, in points of the upright original."""

    shape: Shape
    manner: Manner
    points: tuple[Point, ...]

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Left, top, right and bottom."""
        across, down = [x for x, _ in self.points], [y for _, y in self.points]
        return min(across), min(down), max(across), max(down)

    @property
    def outline(self) -> tuple[Point, ...]:
        """The corners, in order around."""
        if self.shape is Shape.POLYGON:
            return self.points
        left, top, right, bottom = self.box
        return (left, top), (right, top), (right, bottom), (left, bottom)

    def blur_cell_px(self, least_px: float = MARGIN_PX) -> int:
        """The side of a square that a blurred region turns into one color."""
        left, top, right, bottom = self.box
        return max(2, round(least_px), -(-min(right - left, bottom - top) // BLUR_CELLS))

    @property
    def words(self) -> str:
        """What was done, where, so that somebody else can do it again."""
        places = " ".join(f"{x},{y}" for x, y in self.points)
        how = f"{self.manner} {self.shape} {places}, {MARGIN_PX} px wider all round"
        if self.manner is Manner.BLUR:
            return f"{how}, means of {self.blur_cell_px()} px squares in steps of {BLUR_STEP}"
        return how

    def as_entry(self) -> dict[str, object]:
        """The region as it is kept."""
        return {
            "shape": self.shape.value,
            "manner": self.manner.value,
            "points": [list(point) for point in self.points],
        }


class WrongRegion(ValueError):
    """A region that can't be drawn; the message is for the person."""


def read_regions(entries: Any, *, width_px: int, height_px: int) -> tuple[Region, ...]:
    """Return the regions of a redaction, in points of the upright original.

    Raises WrongRegion.
    """
    if not isinstance(entries, list) or not entries:
        raise WrongRegion("Draw at least one region to cover or blur.")
    if len(entries) > MOST_REGIONS:
        raise WrongRegion(f"Up to {MOST_REGIONS} regions; draw larger ones.")
    return tuple(
        _region(entry, f"Region {number}", width_px, height_px)
        for number, entry in enumerate(entries, start=1)
    )


def _region(entry: Any, name: str, width_px: int, height_px: int) -> Region:
    if not isinstance(entry, Mapping):
        raise WrongRegion(f"{name} is not a region.")
    try:
        shape, manner = Shape(str(entry.get("shape"))), Manner(str(entry.get("manner")))
    except ValueError as error:
        raise WrongRegion(
            f"{name}: a rectangle or a polygon, covered or blurred, is what can be drawn."
        ) from error
    points = _points(entry.get("points"), name)
    least = 2 if shape is Shape.RECTANGLE else 3
    most = 2 if shape is Shape.RECTANGLE else MOST_POINTS
    if not least <= len(points) <= most:
        raise WrongRegion(f"{name}: a {shape} has {least} to {most} points.")
    if any(not (0 <= x <= width_px and 0 <= y <= height_px) for x, y in points):
        raise WrongRegion(f"{name} reaches outside the picture ({width_px} × {height_px}).")
    region = Region(shape, manner, points)
    left, top, right, bottom = region.box
    if min(right - left, bottom - top) < LEAST_SIDE_PX:
        raise WrongRegion(f"{name} is too small: at least {LEAST_SIDE_PX} picture points a side.")
    return region


def _points(given: Any, name: str) -> tuple[Point, ...]:
    if not isinstance(given, list | tuple):
        raise WrongRegion(f"{name} has no points.")
    points = []
    for pair in given:
        whole = isinstance(pair, list | tuple) and len(pair) == 2
        if not whole or not all(type(number) is int for number in pair):
            raise WrongRegion(f"{name}: points are pairs of whole numbers.")
        points.append((pair[0], pair[1]))
    return tuple(points)


def place_for(others: Sequence[int], place: int) -> int | None:
    """Return a position that makes an exhibit the `place`-th (1 is the first) beside `others`.

    `others` are the positions of the rest in their order. None when two neighbors stand so
    close that there is no number between them: then all are numbered anew.
    """
    index = max(0, min(place - 1, len(others)))
    before = others[index - 1] if index else 0
    if index == len(others):
        return before + GAP
    between = (before + others[index]) // 2
    return between if before < between < others[index] else None


def next_number(numbers: Sequence[str]) -> str:
    """Return the number after the highest one that is a plain number; courts use letters too."""
    plain = [int(number) for number in numbers if number.isdecimal() and len(number) < 9]
    return str(max(plain, default=0) + 1)


def taken_number(number: str, others: Sequence[str]) -> bool:
    """Tell whether a set has this number already, small and capital letters alike."""
    return number.strip().casefold() in {other.strip().casefold() for other in others}


def wrong_composite(keys: Sequence[object]) -> str:
    """Say what keeps these photographs from being one exhibit; empty when nothing does."""
    if len(set(keys)) != len(keys):
        return "Name each photograph once."
    if len(keys) not in GRIDS:
        return "One exhibit holds one photograph, or two, three, four or six in a grid."
    return ""
