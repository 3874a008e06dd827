"""Kept measurements as lines and words over a picture, for pages."""

from __future__ import annotations

from evidence.measuring import rules
from evidence.measuring.models import Measurement


def line_sizes(width: int, height: int) -> dict[str, int]:
    """Return the sizes of words and ends for a picture of so many points."""
    longest = max(width, height)
    return {"font_size": round(longest / 50), "end_radius": round(longest / 160)}


# In heights of a letter: how far the words stand from their line's end, and the room they need.
_ASIDE, _ROOM = 1.2, 14
_ROWS = {"beside": (-0.1, 1.3), "above": (-2.4, -1.4), "below": (2.2, 4.1)}


def drawn_lines(measurement: Measurement, width: int, height: int) -> dict[str, object]:
    """A kept measurement as lines and words, on an upright picture of so many points.

    The words stand upright at one end, so that those of two lines that cross do not.
    """
    points = measurement.points
    closed = measurement.kind == "area"
    x, y, side = _place(points, width, height, closed=closed)
    condition = rules.condition_words(measurement.shown)
    row, second_row = _ROWS["beside" if side in {"right", "left"} else side]
    return {
        "label": str(measurement),
        "short": measurement.short_words,
        "plane": condition,
        "words": f"{measurement.short_words}, {condition}",
        "path": " ".join(f"{px:.1f},{py:.1f}" for px, py in points),
        "ends": [(f"{px:.1f}", f"{py:.1f}") for px, py in points],
        "at": (f"{x:.1f}", f"{y:.1f}"),
        "anchor": {"right": "start", "left": "end"}.get(side, "middle"),
        "rows": (f"{row}em", f"{second_row}em"),
        "closed": closed,
    }


def _place(
    points: list[list[float]], width: int, height: int, *, closed: bool
) -> tuple[float, float, str]:
    """Return where the words go, and on which side of that place they stand."""
    letter = line_sizes(width, height)["font_size"]
    first, last = points[0], points[-1]
    if not closed and abs(last[0] - first[0]) >= abs(last[1] - first[1]):
        left, right = sorted((first, last))
        if right[0] + _ROOM * letter <= width:
            return right[0] + _ASIDE * letter, right[1], "right"
        if left[0] >= _ROOM * letter:
            return left[0] - _ASIDE * letter, left[1], "left"
    top, bottom = (pick(points, key=lambda point: point[1]) for pick in (min, max))
    middle = sum(px for px, _ in points) / len(points) if closed else top[0]
    if top[1] >= 3 * letter:
        return middle, top[1], "above"
    return (middle if closed else bottom[0]), bottom[1], "below"
