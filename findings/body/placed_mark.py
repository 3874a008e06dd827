"""A mark as it was placed on one view, and as it appears in another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from findings.body.catalogue import BodyGeometryError
from findings.body.marks import CLASSES, KINDS, PagePoint
from findings.body.picking import pick, visible_in_view
from findings.body.views import SCHEMATICS, Point3, view_box, view_title

# Outlines carried to another view get a point at least every 6 thousandths of the figure.
_EDGE_STEP: Final = 6.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the chart.

    `klass` is a key of CLASSES, `kind` one of KINDS, `points` page points (u, v) of the view named
    by `view`: one for a point, two or more for a line, the corners of an area or pattern, and the
    two ends of a paired mark (entrance, then exit or where the object was recovered). `point3` is
    the surface point derived for the mark, `region` its region key. A `selected` mark has its
    label filled. `partly_hidden` says that the points were brought over
    from another view and some of them are out of sight in this one. `letter` stands behind the
    number where a finding has two places: a for the entrance, b for the far end; the two are then
    marks of their own with one point each, in one view or in two.
    """

    number: int
    klass: str
    kind: str
    view: str
    points: Sequence[PagePoint]
    point3: Point3 | None = None
    region: str | None = None
    selected: bool = False
    partly_hidden: bool = False
    letter: str = ""

    @property
    def label(self) -> str:
        """What stands in the label: 4, or 4a."""
        return f"{self.number}{self.letter}"


def mark_in_view(body: str, mark: Mark, view_key: str) -> Mark | None:
    """The mark as it appears in a view, or None where nothing of it can be seen.

    In its own view a mark is drawn as placed. Elsewhere its corners are carried over on the
    surface, and those out of sight are left out. Schematic drawings have no surface to carry over.
    """
    _check(mark)
    view_title(view_key)
    if mark.view == view_key:
        return mark
    if view_key in SCHEMATICS or mark.view in SCHEMATICS:
        return None
    corners = list(mark.points)
    carried = [_carried(body, mark.view, view_key, corner) for corner in corners]
    hidden = None in carried
    if hidden and mark.kind in ("area", "pattern", "line") and len(corners) > 1:
        # More points along the edges, so that the visible part ends where the surface turns away.
        step = _EDGE_STEP * view_box(body, mark.view).height / 1000
        corners = _divided(corners, step, closed=mark.kind != "line")
        carried = [_carried(body, mark.view, view_key, corner) for corner in corners]
    seen = [point for point in carried if point is not None]
    enough = {"area": 3, "pattern": 1, "line": 2, "point": 1, "paired": 1}[mark.kind]
    if len(seen) >= enough:
        return replace(mark, view=view_key, points=tuple(seen), partly_hidden=hidden)
    if mark.kind in ("area", "line") and mark.point3 is not None:
        spot = visible_in_view(body, view_key, mark.point3, region=mark.region)
        if spot is not None:
            return replace(mark, view=view_key, kind="point", points=(spot,), partly_hidden=True)
    return None


def _check(mark: Mark) -> None:
    if mark.klass not in CLASSES:
        raise BodyGeometryError(f"There is no class of finding called “{mark.klass}”.")
    if mark.kind not in KINDS:
        raise BodyGeometryError(f"There is no kind of mark called “{mark.kind}”.")
    if not mark.points:
        raise BodyGeometryError(f"Mark {mark.number} has no point on the chart.")
    if not all(math.isfinite(u) and math.isfinite(v) for u, v in mark.points):
        raise BodyGeometryError(f"Mark {mark.number} has a point that is not a number.")


def _divided(corners: list[PagePoint], step: float, *, closed: bool) -> list[PagePoint]:
    """The corners with points added along long edges."""
    ends = corners[1:] + corners[:1] if closed else corners[1:]
    divided: list[PagePoint] = []
    for start, end in zip(corners, ends, strict=False):
        parts = max(1, math.ceil(math.dist(start, end) / step))
        divided += [
            (
                start[0] + (end[0] - start[0]) * k / parts,
                start[1] + (end[1] - start[1]) * k / parts,
            )
            for k in range(parts)
        ]
    return divided if closed else [*divided, corners[-1]]


def _carried(body: str, own_view: str, other_view: str, corner: PagePoint) -> PagePoint | None:
    found = pick(body, own_view, *corner)
    if found is None:
        return None
    return visible_in_view(body, other_view, found.point, normal=found.normal, region=found.region)
