"""A place said in words as a point of a drawing: the region and its side, and measured distances.

The way back is `picking.pick`: a spot that is returned lies, picked again, on the region that was
asked for, on its side, and as far from heel and midline as was said. Whatever does not lie on the
region of the drawn body is refused, and the nearest spot that does is told. Bodies differ from
their drawing; which of the two is wrong is for the person at the table.

Units are thousandths of crown-heel length, as everywhere in `body`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from findings.body.catalogue import BodyGeometryError
from findings.body.mesh import TENTHS, Floats, topology, triangle_normals, vertices
from findings.body.midline import MIDLINE_WITHIN, side_of
from findings.body.picking import Pick, pick, visible_in_view
from findings.body.position import Midline, describe
from findings.body.regions import REGIONS, region
from findings.body.views import VIEWS, Point3, View, body_model

# A tap is good to about 3 thousandths of crown-heel length (common practice); words are held to it.
WITHIN: Final = 3.0
# The views that show the whole body come first where they show a place as well as others.
_WHOLE: Final = ("anterior", "posterior", "left", "right")
_WHOLE_FIRST: Final = 0.2
_FACES_WELL: Final = 0.35
# Into how many parts each side of a triangle is divided, first everywhere and then near the spot.
_COARSE, _FINE = 3, 14
_NEAR_TRIANGLES: Final = 40
_TRIED: Final = 400

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
    for point, normal in _ordered(body, asked):
        if nearest is not None and _miss(asked, point) > WITHIN:
            break
        spot = _shown_at(body, asked, point, normal, shown, way)
        if spot is None:
            continue
        if _fits(body, asked, spot.found):
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


def _fits(body: str, asked: Asked, found: Pick) -> bool:
    """Whether a picked point is what was asked for, side and all."""
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


def _ordered(body: str, asked: Asked) -> Iterator[tuple[Point3, Point3]]:
    """Points of the region with their normals, the best first."""
    points, normals, triangles = _surface(body, asked.region, _COARSE)
    cost = _cost(asked, points, points.mean(axis=0))
    if asked.above_heel is not None or asked.across is not None:
        order = np.argsort(cost, kind="stable")
        near = list(dict.fromkeys(triangles[order].tolist()))[:_NEAR_TRIANGLES]
        middle = points.mean(axis=0)
        points, normals, _ = _sampled(body, asked.region, np.array(near), _FINE)
        cost = _cost(asked, points, middle)
    kept = _on_asked_side(asked, points, normals)
    order = np.argsort(np.where(kept, cost, np.inf), kind="stable")[: int(kept.sum())]
    for index in order[:: max(1, len(order) // _TRIED)] if len(order) > _TRIED else order:
        x, y, z = (float(value) for value in points[index])
        nx, ny, nz = (float(value) for value in normals[index])
        yield (x, y, z), (nx, ny, nz)


def _cost(asked: Asked, points: Floats, middle: Floats) -> Floats:
    """How far points lie from what was said and, far less, from the middle of the region."""
    away = (points - middle) * 0.02
    if asked.across is not None:
        away[:, 0] = points[:, 0] - asked.across
    if asked.above_heel is not None:
        away[:, 2] = points[:, 2] - asked.above_heel
    cost: Floats = (away * away).sum(axis=1)
    return cost


def _on_asked_side(asked: Asked, points: Floats, normals: Floats) -> NDArray[np.bool_]:
    kept = np.ones(len(points), dtype=bool)
    side = region(asked.region).side if asked.across is None else side_of(asked.across)
    if side == "left":
        kept &= points[:, 0] > MIDLINE_WITHIN
    elif side == "right":
        kept &= points[:, 0] < -MIDLINE_WITHIN
    elif asked.across is not None:
        kept &= np.abs(points[:, 0]) <= MIDLINE_WITHIN
    if asked.midline:
        faces_back = normals[:, 1] < -0.26
        kept &= faces_back if asked.midline == "posterior" else ~faces_back
    return kept if kept.any() else np.ones(len(points), dtype=bool)


@lru_cache(maxsize=64)
def _surface(body: str, region_key: str, parts: int) -> tuple[Floats, Floats, NDArray[np.int64]]:
    weights = _vertex_weights()[REGIONS[region_key].id]
    touched = np.flatnonzero((weights[topology().triangles] > 0).any(axis=1))
    return _sampled(body, region_key, touched, parts)


@lru_cache(maxsize=1)
def _vertex_weights() -> Floats:
    """The weight of each region at each vertex, shape (highest region number + 1, vertices)."""
    shared = topology()
    counts = np.diff(shared.weight_starts)
    table = np.zeros((len(counts), max(one.id for one in REGIONS.values()) + 1))
    table[np.repeat(np.arange(len(counts)), counts), shared.weight_regions] = shared.weights
    return np.ascontiguousarray(table.T)


def _sampled(
    body: str, region_key: str, triangles: NDArray[np.int64], parts: int
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Points of these triangles that belong to the region, with normal and triangle."""
    steps = [(i, j) for i in range(parts) for j in range(parts - i)]
    shares = np.array([((i + 1 / 3) / parts, (j + 1 / 3) / parts) for i, j in steps])
    bary = np.column_stack((1 - shares.sum(axis=1), shares))
    numbers = topology().triangles[triangles]
    points = np.einsum("sc,tcx->tsx", bary, vertices(body)[numbers] / TENTHS)
    # Only regions that have a part in these triangles, in their order: the lower number wins a tie.
    table = _vertex_weights()[:, numbers]
    ours = np.flatnonzero(table.any(axis=(1, 2)))
    weights = np.einsum("sc,rtc->tsr", bary, table[ours])
    inside = ours[weights.argmax(axis=2)] == REGIONS[region_key].id
    across = triangle_normals(body)[triangles]
    lengths = np.linalg.norm(across, axis=1)
    normals = across / np.where(lengths > 0, lengths, 1.0)[:, None]
    owner = np.broadcast_to(np.arange(len(triangles))[:, None], inside.shape)[inside]
    return points[inside], normals[owner], triangles[owner]


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


def extent(body: str, region_key: str) -> tuple[float, float, float, float]:
    """Between which heights and which distances from the midline a region lies on a body.

    Lowest, highest, nearest to and farthest from the midline; the last two without a side.
    """
    points, _, _ = _surface(body, region_key, _COARSE)
    away = np.abs(points[:, 0])
    low, high = points[:, 2].min(), points[:, 2].max()
    return float(low), float(high), float(away.min()), float(away.max())
