"""Kept measurements as lines and words over a picture, for pages."""

from __future__ import annotations

import math
from typing import Any

from evidence.measuring import rules
from evidence.measuring.models import Measurement


def line_sizes(width: int, height: int) -> dict[str, int]:
    """Return the sizes of words and ends for a picture of so many points."""
    longest = max(width, height)
    return {"font_size": round(longest / 50), "end_radius": round(longest / 160)}


def drawn_lines(measurement: Measurement) -> dict[str, Any]:
    """A kept measurement as lines and words; the words lie along the way from end to end."""
    points = measurement.points
    closed = measurement.kind == "area"
    (x, y), (to_x, to_y) = points[0], points[len(points) // 2] if closed else points[-1]
    turn = math.degrees(math.atan2(to_y - y, to_x - x))
    if closed:
        at, turn = _above(points), 0.0
    else:
        at = ((x + to_x) / 2, (y + to_y) / 2)
        turn += 180 if abs(turn) > 90 else 0
    return {
        "label": str(measurement),
        "short": measurement.short_words,
        "plane": rules.IN_PLANE,
        "words": f"{measurement.short_words}, {rules.IN_PLANE}",
        "path": " ".join(f"{px:.1f},{py:.1f}" for px, py in points),
        "ends": [(f"{px:.1f}", f"{py:.1f}") for px, py in points],
        "at": tuple(f"{each:.1f}" for each in at),
        "turn": f"{turn:.1f}",
        "closed": closed,
    }


def _above(points: list[list[float]]) -> tuple[float, float]:
    middle = sum(px for px, _ in points) / len(points)
    return middle, min(py for _, py in points)
