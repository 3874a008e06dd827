"""Schematic drawings: which part of one lies under a point.

The drawings (perineum, mouth, skeleton, skull, brain, heart, neck organs, body cavities) are our
own and show how parts lie to one another, not their true shape or size. A mark on one has a part
and a side, but no surface point, no height and no area.
"""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, get_args

from findings.body.catalogue import ASSETS, UnknownView
from findings.body.regions import Side
from findings.body.views import SCHEMATICS

PagePoint = tuple[float, float]

_PART: Final = re.compile(
    r'data-part="([^"]+)" data-term="([^"]+)" data-side="([^"]+)" d="([^"]+)"'
)
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")
# Points taken from each curve of an outline.
_STEPS: Final = 6


@dataclass(frozen=True, slots=True)
class SchematicPart:
    """A named part: key, term in the trade's words, the body's own side, and its outline."""

    key: str
    term: str
    side: Side
    outline: tuple[PagePoint, ...]


@lru_cache(maxsize=32)
def parts(view_key: str) -> tuple[SchematicPart, ...]:
    """The parts of a schematic drawing, from the lowest to the topmost; raises UnknownView."""
    if view_key not in SCHEMATICS:
        raise UnknownView(view_key)
    text = (ASSETS / "drawings" / "schematic" / f"{view_key}.svg").read_text(encoding="utf-8")
    return tuple(
        SchematicPart(key, html.unescape(term), _side(side), _flattened(path))
        for key, term, side, path in _PART.findall(text)
    )


def part_at(view_key: str, u: float, v: float) -> SchematicPart | None:
    """The topmost part of a schematic drawing under page point (u, v), or None beside all parts."""
    for part in reversed(parts(view_key)):
        if is_inside(part.outline, (u, v)):
            return part
    return None


def is_inside(outline: Sequence[PagePoint], point: PagePoint) -> bool:
    """Whether a page point lies within a closed outline (even-odd)."""
    inside = False
    for k, a in enumerate(outline):
        b = outline[k - 1]
        if (a[1] > point[1]) != (b[1] > point[1]):
            cut = a[0] + (point[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
            inside ^= point[0] < cut
    return inside


def _side(text: str) -> Side:
    known: tuple[Literal["left", "right", "midline"], ...] = get_args(Side)
    return next(side for side in known if side == text)


def _flattened(path: str) -> tuple[PagePoint, ...]:
    """The outline of a path of one M and any number of C commands."""
    numbers = [float(text) for text in _NUMBER.findall(path)]
    start = (numbers[0], numbers[1])
    points = []
    for at in range(2, len(numbers) - 5, 6):
        a, b, end = ((numbers[at + k], numbers[at + k + 1]) for k in (0, 2, 4))
        for step in range(_STEPS):
            t = step / _STEPS
            s = 1 - t
            weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
            corners = (start, a, b, end)
            points.append(
                (
                    sum(w * c[0] for w, c in zip(weights, corners, strict=True)),
                    sum(w * c[1] for w, c in zip(weights, corners, strict=True)),
                )
            )
        start = end
    return tuple(points)
