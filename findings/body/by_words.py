"""A place said in words as a point of a drawing: the region and its side, and measured distances.

The way back is `picking.pick`: a spot that is returned lies, picked again, on the region that was
asked for, on its side, and as far from heel and midline as was said. Whatever does not lie on the
region of the drawn body is refused, and the nearest spot that does is told. Bodies differ from
their drawing; which of the two is wrong is for the person at the table.

Units are thousandths of crown-heel length, as everywhere in `body`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from findings.body.catalogue import BodyGeometryError
from findings.body.mesh import Floats
from findings.body.midline import side_of
from findings.body.picking import Pick, pick, visible_in_view
from findings.body.position import Midline, describe
from findings.body.regions import region
from findings.body.surface_points import offered
from findings.body.views import VIEWS, Point3, View, body_model

# A tap is good to about 3 thousandths of crown-heel length (common practice); words are held to it.
WITHIN: Final = 3.0
# The views that show the whole body come first where they show a place as well as others.
_WHOLE: Final = ("anterior", "posterior", "left", "right")
_WHOLE_FIRST: Final = 0.2
_FACES_WELL: Final = 0.35

# Which way a line or the longer axis of an area runs, on the body: x to its left, y to its front,
# z to its head.
Way = Literal[
    "head to foot", "side to side", "front to back", "down to the left", "down to the right"
]
_HALF: Final = 2**-0.5
WAYS: Final[dict[str, Point3]] = {
    "head to foot": (0.0, 0.0, -1.0),
    "side to side": (1.0, 0.0, 0.0),
    "front to back": (0.0, -1.0, 0.0),
    "down to the left": (_HALF, 0.0, -_HALF),
    "down to the right": (-_HALF, 0.0, -_HALF),
}
_ON_THE_PAGE: Final = 0.99


@dataclass(frozen=True, slots=True)
class Asked:
    """A place in words.

    `above_heel` is a height, `across` the distance from the midline, positive to the body's left
    and 0 in it; `midline` says from which one it was measured. None and "" leave them open.
    """

    region: str
    above_heel: float | None = None
    across: float | None = None
    midline: Midline | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of a view's page, and what lies there."""

    view: str
    u: float
    v: float
    found: Pick


class WrongSide(BodyGeometryError):
    """The region lies on one side of the body, the distance on the other."""

    code = "wrong_side"


class NotOnRegion(BodyGeometryError):
    """The distances do not lie on the region of this drawing; `nearest` does, if anything does."""

    code = "not_on_region"

    def __init__(self, asked: Asked, nearest: Spot | None) -> None:
        super().__init__(f"This does not lie on the {region(asked.region).term.lower()}.")
        self.nearest = nearest


def spot_of(body: str, asked: Asked, *, shown: str = "", way: str = "") -> Spot:
    """The spot of the drawn body that the words mean, preferably in the view that is `shown`.

    `way` is one of WAYS that has to lie flat on the page. Raises UnknownRegion, UnknownBody,
    WrongSide, NotOnRegion.
    """
    body_model(body)
    check_side(asked)
    nearest = None
    for point, normal in offered(body, asked.region, asked.above_heel, asked.across, asked.midline):
        if nearest is not None and _miss(asked, point) > WITHIN:
            break
        spot = _shown_at(body, asked, point, normal, shown, way)
        if spot is None:
            continue
        if fits(body, asked, spot.found):
            return spot
        nearest = nearest or spot
    raise NotOnRegion(asked, nearest)


def check_side(asked: Asked) -> None:
    """Refuse a distance to the other side than the region's. Raises WrongSide, UnknownRegion."""
    known = region(asked.region)
    if asked.across is None or known.side == "midline":
        return
    side = side_of(asked.across)
    if side not in (known.side, "midline"):
        raise WrongSide(f"{known.term} does not lie {side} of the midline.")


def fits(body: str, asked: Asked, found: Pick) -> bool:
    """Tell whether a picked point is what was asked for, side and all."""
    known = region(asked.region)
    if found.region != asked.region or _miss(asked, found.point) > WITHIN:
        return False
    side = side_of(found.point[0])
    if asked.across is not None and side != side_of(asked.across):
        return False
    if asked.across is None and known.side != "midline" and side != known.side:
        return False
    return not asked.midline or _midline(body, found) == asked.midline


def _midline(body: str, found: Pick) -> Midline:
    return describe(body, found.point, None, normal=found.normal).midline


def _miss(asked: Asked, point: Sequence[float] | Floats) -> float:
    """By how much a point misses the distances that were said: the greater of the two."""
    misses = [0.0]
    if asked.above_heel is not None:
        misses.append(abs(float(point[2]) - asked.above_heel))
    if asked.across is not None:
        misses.append(abs(float(point[0]) - asked.across))
    return max(misses)


def _shown_at(
    body: str, asked: Asked, point: Point3, normal: Point3, shown: str, way: str
) -> Spot | None:
    """The point on the page of the view that shows it best; None where no view shows it."""
    for view in _views(normal, shown, way):
        spot = visible_in_view(body, view.key, point, normal=normal, region=asked.region)
        if spot is None:
            continue
        u, v = round(spot[0], 1), round(spot[1], 1)
        found = pick(body, view.key, u, v)
        if found is not None and found.region == asked.region:
            return Spot(view.key, u, v, found)
    return None


def _views(normal: Point3, shown: str, way: str) -> list[View]:
    """The views that look at a surface of this normal, the best first."""

    def worth(view: View) -> float:
        facing = view.toward.of(normal)
        if view.key == shown and facing > _FACES_WELL:
            return 2.0
        return facing + (_WHOLE_FIRST if view.key in _WHOLE else 0.0)

    # A line on a surface that is turned away would be a smear.
    usable = [
        one
        for one in VIEWS.values()
        if not way or (one.toward.of(normal) > _FACES_WELL and on_page(one, way) is not None)
    ]
    return sorted(usable, key=worth, reverse=True)


def on_page(view: View, way: str) -> tuple[float, float] | None:
    """The direction of one of WAYS on a view's page as (u, v); None where it does not lie flat."""
    direction = WAYS[way]
    u, v = view.u.of(direction), -view.up.of(direction)
    return (u, v) if np.hypot(u, v) > _ON_THE_PAGE else None
