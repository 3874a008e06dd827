"""From a point on a view's page to a point on the body surface, and back.

The browser's `picking.js` gives the same answers; both work with the surface's whole tenths of a
unit and in the same order of operations, and a file of shared vectors holds them together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from findings.body.catalogue import BodyGeometryError
from findings.body.mesh import TENTHS, Floats, Projection, projection, topology
from findings.body.mesh import triangle_normals as _triangle_normals
from findings.body.midline import place_words, side_of
from findings.body.regions import REGION_KEY_BY_ID, REGIONS, Side
from findings.body.regions import region as region_of
from findings.body.views import SCHEMATICS, VIEWS, Point3, body_model, view, view_box

# A point on an edge belongs to both triangles; this lets neither miss it.
_EDGE: Final = 1e-9
# A point counts as the one seen in a view when the surface there is at most this far from it.
# Points are kept to a hundredth, and steep surfaces stretch that.
_SAME_SURFACE_WITHIN: Final = 1.0
# Turned away by more than about 87 degrees a mark would be a smear on the silhouette.
_FACES_VIEWER: Final = 0.05


@dataclass(frozen=True, slots=True)
class Pick:
    """What lies under a page point.

    `point` is (x, y, z) in thousandths of crown-heel length, `region` a key of REGIONS, `term` its
    words, `place` the words for the point, in which the midline has no side, `side` the body's own
    side, `normal` the outward unit vector of the surface.
    """

    point: Point3
    region: str
    term: str
    place: str
    side: Side
    normal: Point3


def pick(body: str, view_key: str, u: float, v: float) -> Pick | None:
    """The surface point under page point (u, v) of a view, or None where no surface is drawn.

    Units are thousandths of crown-heel length; points outside the view's box give None, and so does
    every point of a schematic drawing. Raises UnknownBody, UnknownView, and BodyGeometryError for a
    coordinate that is not a number.
    """
    if not (math.isfinite(u) and math.isfinite(v)):
        raise BodyGeometryError("A page point needs two finite numbers.")
    if not view_box(body, view_key).holds(u, v) or view_key in SCHEMATICS:
        return None
    page = projection(body, view_key)
    up = view(view_key).up_of_page(v) * TENTHS
    hit = _nearest(page, u * TENTHS, up)
    if hit is None:
        return None
    index, corner_weights = hit
    return _describe(body, view_key, page, index, corner_weights)


def _nearest(page: Projection, u: float, up: float) -> tuple[int, Floats] | None:
    candidates = _cell_items(page, u, up)
    if len(candidates) == 0:
        return None
    corners = page.corners[candidates].astype(np.float64)
    weights = corner_weights(corners, u, up)
    inside = (weights >= -_EDGE).all(axis=1)
    if not inside.any():
        return None
    depths = (weights * corners[:, :, 2]).sum(axis=1)
    best = int(np.argmax(np.where(inside, depths, -np.inf)))
    return int(candidates[best]), weights[best]


def _cell_items(page: Projection, u: float, up: float) -> NDArray[np.int32]:
    column = math.floor((u - page.left) / page.cell)
    row = math.floor((up - page.bottom) / page.cell)
    if not (0 <= column < page.columns and 0 <= row < page.rows):
        return page.cell_items[:0]
    cell = row * page.columns + column
    return page.cell_items[page.cell_starts[cell] : page.cell_starts[cell + 1]]


def corner_weights(corners: Floats, u: Floats | float, up: Floats | float) -> Floats:
    """Barycentric weights of a page point in each triangle, shape (n, 3).

    `corners` has shape (n, 3, 3) as in a Projection; a weight below zero means outside.
    """
    au, aup = corners[:, 0, 0], corners[:, 0, 1]
    bu, bup = corners[:, 1, 0] - au, corners[:, 1, 1] - aup
    cu, cup = corners[:, 2, 0] - au, corners[:, 2, 1] - aup
    pu, pup = u - au, up - aup
    area = bu * cup - bup * cu
    second = (pu * cup - pup * cu) / area
    third = (bu * pup - bup * pu) / area
    return np.stack([1.0 - second - third, second, third], axis=1)


def _describe(body: str, view_key: str, page: Projection, index: int, weights: Floats) -> Pick:
    looking = view(view_key)
    number = int(page.numbers[index])
    along = (weights[:, None] * page.corners[index].astype(np.float64)).sum(axis=0) / TENTHS
    point = [0.0, 0.0, 0.0]
    for axis, value in zip((looking.u, looking.up, looking.toward), along, strict=True):
        point[axis.index] = axis.sign * float(value)
    across = _triangle_normals(body)[number]
    length = math.sqrt(float(across @ across))
    found = REGIONS[_region_at(number, weights)]
    return Pick(
        point=(point[0], point[1], point[2]),
        region=found.key,
        term=found.term,
        place=place_words(body, found.key, (point[0], point[1], point[2])),
        side=found.side if found.side != "midline" else side_of(point[0]),
        normal=(float(across[0]) / length, float(across[1]) / length, float(across[2]) / length),
    )


def _region_at(triangle: int, weights: Floats) -> str:
    """The region with the greatest weight at a point; the lower number wins a tie."""
    shared = topology()
    sums: dict[int, float] = {}
    for corner, vertex in enumerate(shared.triangles[triangle]):
        for entry in range(shared.weight_starts[vertex], shared.weight_starts[vertex + 1]):
            number = int(shared.weight_regions[entry])
            share = float(weights[corner]) * float(shared.weights[entry])
            sums[number] = sums.get(number, 0.0) + share
    return REGION_KEY_BY_ID[max(sums, key=lambda number: (sums[number], -number))]


def visible_in(
    body: str, point: Point3, *, normal: Point3 | None = None, region: str | None = None
) -> list[tuple[str, float, float]]:
    """Every view in which a surface point can be seen, as (view, u, v).

    `normal` is the point's outward normal, `region` its region key; either helps to tell the two
    faces of thin parts (ear, finger) apart, and is best passed on from the Pick.
    """
    seen = []
    for key in VIEWS:
        spot = visible_in_view(body, key, point, normal=normal, region=region)
        if spot is not None:
            seen.append((key, *spot))
    return seen


def visible_in_view(
    body: str,
    view_key: str,
    point: Point3,
    *,
    normal: Point3 | None = None,
    region: str | None = None,
) -> tuple[float, float] | None:
    """Where a surface point is seen in one view, as (u, v), or None; see `visible_in`."""
    looking = view(view_key)
    if normal is not None and looking.toward.of(normal) < _FACES_VIEWER:
        return None
    if region is not None:
        known = region_of(region)
        if not looking.shows(known.base, known.side):
            return None
    u, v = looking.project(point)
    if v < body_model(body).faded_above.get(view_key, -math.inf):
        return None
    found = pick(body, view_key, u, v)
    if found is None or math.dist(found.point, point) > _SAME_SURFACE_WITHIN:
        return None
    return u, v
