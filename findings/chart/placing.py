"""From a mark's points to where the finding lies: the middle of the mark, picked on the surface.

The browser's `chart/middle.js` finds the same middle; the server derives everything again on save.
No database, no clock.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from findings.body.area import area_percent
from findings.body.catalogue import BodyGeometryError
from findings.body.picking import Pick, pick
from findings.body.position import Position, describe
from findings.body.schematics import part_at
from findings.body.views import SCHEMATICS, view
from findings.rules import MarkKind

PagePoint = tuple[float, float]

OUTLINED = (MarkKind.AREA, MarkKind.PATTERN)


@dataclass(frozen=True)
class Placed:
    """What a mark says about where a finding lies.

    Lengths are in centimeters, None without a measured crown-heel length; `from_midline_cm` is
    positive to the body's left and 0 in the midline. On a schematic drawing there is no surface:
    the part under the mark gives region and place, and every length is None.
    """

    surface_point: tuple[float, float, float] | None
    region: str
    place: str
    above_heel_cm: float | None
    below_top_cm: float | None
    from_midline_cm: float | None
    midline: str
    wording: str


def placed_by_mark(
    body: str, view: str, kind: str, points: Sequence[Sequence[float]], crown_heel_cm: float | None
) -> Placed | None:
    """Derive a finding's place from a mark; None when the mark lies beside the drawn body.

    Raises BodyGeometryError for an unknown body or view.
    """
    if view in SCHEMATICS:
        return _placed_on_schematic(view, kind, points)
    found = picked_by_mark(body, view, kind, points)
    if found is None:
        return None
    position = describe(body, found.point, crown_heel_cm, normal=found.normal)
    x, y, z = (round(value, 2) for value in found.point)
    return Placed(
        surface_point=(x, y, z),
        region=found.region,
        place=found.place,
        above_heel_cm=position.height_above_heel_cm,
        below_top_cm=position.below_top_of_head_cm,
        from_midline_cm=_signed_offset(position),
        midline=position.midline,
        wording=position.wording,
    )


def _placed_on_schematic(view: str, kind: str, points: Sequence[Sequence[float]]) -> Placed | None:
    corners = [(float(point[0]), float(point[1])) for point in points]
    for u, v in [middle(kind, corners), *corners]:
        part = part_at(view, u, v)
        if part is not None:
            place = part.term[:1].upper() + part.term[1:]
            return Placed(None, part.key, place, None, None, None, "", part.term)
    return None


def _signed_offset(position: Position) -> float | None:
    if position.midline_offset_cm is None:
        return None
    if position.side == "midline":
        return 0.0
    return position.midline_offset_cm if position.side == "left" else -position.midline_offset_cm


def picked_by_mark(
    body: str, view: str, kind: str, points: Sequence[Sequence[float]]
) -> Pick | None:
    """The surface under the middle of a mark, or under the first of its points that has one."""
    corners = [(float(point[0]), float(point[1])) for point in points]
    for u, v in [middle(kind, corners), *corners]:
        found = pick(body, view, u, v)
        if found is not None:
            return found
    return None


def middle(kind: str, points: Sequence[PagePoint]) -> PagePoint:
    """The middle of a mark: the point itself, half way along a line, the centroid of an area."""
    if kind == MarkKind.LINE and len(points) > 1:
        return _half_way(points)
    if kind in OUTLINED and len(points) > 2:
        return _centroid(points)
    return points[0]


def _half_way(points: Sequence[PagePoint]) -> PagePoint:
    left = sum(math.dist(a, b) for a, b in pairwise(points)) / 2
    for a, b in pairwise(points):
        length = math.dist(a, b)
        if length > 0 and left <= length:
            share = left / length
            return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
        left -= length
    return points[-1]


def _centroid(points: Sequence[PagePoint]) -> PagePoint:
    twice = u = v = 0.0
    # Taken from the first corner on, so that large coordinates do not cost precision.
    u0, v0 = points[0]
    for index, (au, av) in enumerate(points):
        bu, bv = points[(index + 1) % len(points)]
        cross = (au - u0) * (bv - v0) - (bu - u0) * (av - v0)
        twice += cross
        u += (au + bu - 2 * u0) * cross
        v += (av + bv - 2 * v0) * cross
    if abs(twice) < 1e-6:
        return points[0]
    return u0 + u / (3 * twice), v0 + v / (3 * twice)


def share_of_surface(
    body: str, view: str, kind: str, points: Sequence[Sequence[float]]
) -> float | None:
    """The share of the body surface inside an outlined area, in percent; None for other marks."""
    if kind not in OUTLINED or view in SCHEMATICS:
        return None
    try:
        return area_percent(body, view, [(float(p[0]), float(p[1])) for p in points])
    except BodyGeometryError:
        return None


def drawn_line_words(
    view_key: str, points: Sequence[Sequence[float]], crown_heel_cm: float | None
) -> str:
    """How a line was drawn: "about 4.2 cm as drawn, vertical"; empty on a schematic drawing.

    The length is that of the flat drawing, so less than the skin's where the body curves away. It
    never stands for a measured length.
    """
    if view_key in SCHEMATICS or len(points) < 2:
        return ""
    said = []
    if crown_heel_cm is not None:
        length = sum(math.dist(a, b) for a, b in pairwise(points)) * crown_heel_cm / 1000
        said.append(f"about {length:.1f} cm as drawn")
    if view(view_key).up.index == 2:
        said.append(slope_words(points[0], points[-1]))
    return ", ".join(word for word in said if word)


def slope_words(start: Sequence[float], end: Sequence[float]) -> str:
    """Vertical, horizontal or oblique, within 20 degrees (common practice); empty for a loop."""
    across, down = abs(end[0] - start[0]), abs(end[1] - start[1])
    if math.hypot(across, down) < 1:
        return ""
    steep = math.degrees(math.atan2(down, across))
    if steep >= 70:
        return "vertical"
    return "horizontal" if steep <= 20 else "oblique"
