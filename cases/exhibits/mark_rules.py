"""What may be kept of a drawing that was made over an exhibit in court. No database, no clock."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from me_office.audit.errors import Refused

MOST_STROKES = 60
MOST_POINTS = 400
# By so much the clock of a device that was away may be ahead of the office's.
CLOCKS_DIFFER = timedelta(minutes=5)
DECIMALS = 5
# An arrow's head, as a share of the picture's longer side, and half the angle between its barbs.
_BARB, _HALF_ANGLE = 0.025, math.radians(28)

Point = tuple[float, float]


class Tool(StrEnum):
    """What a stroke was drawn with."""

    PEN = "pen"
    ARROW = "arrow"
    CIRCLE = "circle"


def checked_strokes(given: Any) -> list[dict[str, Any]]:
    """Return the strokes of a mark as they are kept. Raises Refused.

    Points are shares of the upright picture, 0 to 1 from its upper left corner. An arrow has its
    tail and its head, a circle two corners of the box that it fills.
    """
    if not isinstance(given, list) or not given:
        raise _refused("There is nothing drawn to keep.")
    if len(given) > MOST_STROKES:
        raise _refused(f"A mark has at most {MOST_STROKES} strokes.")
    return [_stroke(one) for one in given]


def _stroke(given: Any) -> dict[str, Any]:
    if not isinstance(given, Mapping) or given.get("tool") not in set(Tool):
        raise _refused("A stroke is drawn by pen, arrow or circle.")
    tool = Tool(given["tool"])
    points = given.get("points")
    if not isinstance(points, list) or len(points) > MOST_POINTS:
        raise _refused(f"A stroke has at most {MOST_POINTS} points.")
    kept = [_point(one) for one in points]
    if len(set(map(tuple, kept))) < 2 or (tool is not Tool.PEN and len(kept) != 2):
        raise _refused("A stroke needs two different points, an arrow or circle no more.")
    return {"tool": tool.value, "points": kept}


def _point(given: Any) -> list[float]:
    numbers = given if isinstance(given, list) and len(given) == 2 else []
    if not numbers or any(
        isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1
        for value in numbers
    ):
        raise _refused("Every point has to be inside the picture.")
    return [round(float(value), DECIMALS) for value in numbers]


def _refused(words: str) -> Refused:
    return Refused(words, field="strokes")


def check_marked(marked_at: datetime, *, now: datetime) -> None:
    """Refuse a mark from the future. Raises Refused."""
    if marked_at > now + CLOCKS_DIFFER:
        raise Refused("The time of the mark is in the future.", field="marked_at")


def drawn_shape(stroke: Mapping[str, Any], width: int, height: int) -> dict[str, str]:
    """Return a stroke as it is drawn over an upright picture of so many points.

    A pen and an arrow are a path, a circle is the ellipse within its box.
    """
    spots = [(x * width, y * height) for x, y in stroke["points"]]
    if stroke["tool"] == Tool.CIRCLE:
        (x1, y1), (x2, y2) = spots
        return {
            "cx": _num((x1 + x2) / 2),
            "cy": _num((y1 + y2) / 2),
            "rx": _num(abs(x2 - x1) / 2),
            "ry": _num(abs(y2 - y1) / 2),
        }
    path = "M" + "L".join(_spot(spot) for spot in spots)
    if stroke["tool"] == Tool.ARROW:
        left, right = _barbs(spots, _BARB * max(width, height))
        path += f"M{_spot(left)}L{_spot(spots[1])}L{_spot(right)}"
    return {"path": path}


def _barbs(spots: Sequence[Point], length: float) -> tuple[Point, Point]:
    (x1, y1), (x2, y2) = spots
    back = math.atan2(y1 - y2, x1 - x2)
    left, right = (
        (x2 + length * math.cos(back + turn), y2 + length * math.sin(back + turn))
        for turn in (_HALF_ANGLE, -_HALF_ANGLE)
    )
    return left, right


def _spot(spot: Point) -> str:
    return f"{_num(spot[0])} {_num(spot[1])}"


def _num(value: float) -> str:
    return f"{value:.1f}"
