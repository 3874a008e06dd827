"""Points of a region on a body's surface, those first that words about them may mean.

What is found here is only offered: `by_words` picks each point again, and refuses what is not on
the region, on its side and at its distances. Units are thousandths of crown-heel length.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from findings.body.mesh import TENTHS, Floats, topology, triangle_normals, vertices
from findings.body.midline import MIDLINE_WITHIN, side_of
from findings.body.regions import REGIONS, region
from findings.body.views import Point3

# Into how many parts each side of a triangle is divided, first everywhere and then near the spot.
_COARSE, _FINE = 3, 14
_NEAR_TRIANGLES: Final = 40
_TRIED: Final = 400


def offered(
    body: str, region_key: str, above_heel: float | None, across: float | None, midline: str
) -> Iterator[tuple[Point3, Point3]]:
    """Points of the region with their normals, the best first."""
    points, normals, triangles = _surface(body, region_key, _COARSE)
    cost = _cost(above_heel, across, points, points.mean(axis=0))
    if above_heel is not None or across is not None:
        order = np.argsort(cost, kind="stable")
        near = list(dict.fromkeys(triangles[order].tolist()))[:_NEAR_TRIANGLES]
        middle = points.mean(axis=0)
        points, normals, _ = _sampled(body, region_key, np.array(near), _FINE)
        cost = _cost(above_heel, across, points, middle)
    kept = _on_asked_side(region_key, across, midline, points, normals)
    order = np.argsort(np.where(kept, cost, np.inf), kind="stable")[: int(kept.sum())]
    for index in order[:: max(1, len(order) // _TRIED)] if len(order) > _TRIED else order:
        x, y, z = (float(value) for value in points[index])
        nx, ny, nz = (float(value) for value in normals[index])
        yield (x, y, z), (nx, ny, nz)


def _cost(above_heel: float | None, across: float | None, points: Floats, middle: Floats) -> Floats:
    """How far points lie from what was said and, far less, from the middle of the region."""
    away = (points - middle) * 0.02
    if across is not None:
        away[:, 0] = points[:, 0] - across
    if above_heel is not None:
        away[:, 2] = points[:, 2] - above_heel
    cost: Floats = (away * away).sum(axis=1)
    return cost


def _on_asked_side(
    region_key: str, across: float | None, midline: str, points: Floats, normals: Floats
) -> NDArray[np.bool_]:
    kept = np.ones(len(points), dtype=bool)
    side = region(region_key).side if across is None else side_of(across)
    if side == "left":
        kept &= points[:, 0] > MIDLINE_WITHIN
    elif side == "right":
        kept &= points[:, 0] < -MIDLINE_WITHIN
    elif across is not None:
        kept &= np.abs(points[:, 0]) <= MIDLINE_WITHIN
    if midline:
        faces_back = normals[:, 1] < -0.26
        kept &= faces_back if midline == "posterior" else ~faces_back
    return kept if kept.any() else np.ones(len(points), dtype=bool)


@lru_cache(maxsize=64)
def _surface(body: str, region_key: str, parts: int) -> tuple[Floats, Floats, NDArray[np.int64]]:
    weights = _vertex_weights()[REGIONS[region_key].id]
    # Column by column: numpy takes four times as long along an axis of three.
    first, second, third = (weights > 0)[topology().triangles.T]
    touched = np.flatnonzero(first | second | third)
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
    crossed = triangle_normals(body)[triangles]
    lengths = np.linalg.norm(crossed, axis=1)
    normals = crossed / np.where(lengths > 0, lengths, 1.0)[:, None]
    owner = np.broadcast_to(np.arange(len(triangles))[:, None], inside.shape)[inside]
    return points[inside], normals[owner], triangles[owner]


def extent(body: str, region_key: str) -> tuple[float, float, float, float]:
    """Between which heights and which distances from the midline a region lies on a body.

    Lowest, highest, nearest to and farthest from the midline; the last two without a side.
    """
    points, _, _ = _surface(body, region_key, _COARSE)
    away = np.abs(points[:, 0])
    low, high = points[:, 2].min(), points[:, 2].max()
    return float(low), float(high), float(away.min()), float(away.max())
