"""Shares of the body surface: of an outline drawn on a view, and of whole regions.

The outline takes in the surface that is visible in the view, at its true size and not as shortened
by the angle of looking. For burns such shares are estimates, and the usual charts are too: Wallace
AB, Lancet 1951;1:501-504; Lund CC, Browder NC, Surg Gynecol Obstet 1944;79:352-358.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from findings.body.catalogue import BodyGeometryError
from findings.body.mesh import (
    TENTHS,
    Floats,
    Ints,
    Projection,
    extreme,
    projection,
    topology,
    triangle_normals,
)
from findings.body.picking import corner_weights
from findings.body.regions import region
from findings.body.views import SCHEMATICS, body_model, view, view_box

MAX_OUTLINE_POINTS: Final = 4000
# About this many samples settle a share within half a percent; see the tests.
_SAMPLES: Final = 24_000
_MOST_PARTS: Final = 32
# A sample counts as visible when nothing lies more than 0.3 thousandths (half a millimeter) above.
_DEPTH_SLACK: Final = 3.0
# More than what a depth within a triangle can lie above its highest corner by calculating alone.
_ROUNDING: Final = 1e-6

Outline = Sequence[tuple[float, float]]


def area_percent(body: str, view_key: str, outline: Outline) -> float:
    """Share of the body's whole surface, in percent, that is visible inside an outline.

    `outline` holds the corners (u, v) of a closed polygon on the view's page, in thousandths of
    crown-heel length; it may cross itself (even-odd). Fewer than three corners have no area. The
    error is below 2 percent of the share for outlines of a square centimeter and more. Raises
    UnknownBody, UnknownView, and BodyGeometryError for coordinates that are not numbers and for
    schematic drawings.
    """
    view_box(body, view_key)
    if view_key in SCHEMATICS:
        raise BodyGeometryError("A schematic drawing has no body surface to measure.")
    return _area_percent(body, view_key, tuple((u, v) for u, v in outline))


# What is shown while somebody draws is asked for again when it is kept.
@lru_cache(maxsize=256)
def _area_percent(body: str, view_key: str, outline: tuple[tuple[float, float], ...]) -> float:
    polygon = _polygon(view_key, outline)
    if len(polygon) < 3:
        return 0.0
    page = projection(body, view_key)
    touched = _touched(page, polygon)
    if len(touched) == 0:
        return 0.0
    owners, weights, shares = _samples(page, touched, polygon)
    corners = page.corners[owners].astype(np.float64)
    first, second, third = (weights[:, n, None] * corners[:, n] for n in range(3))
    points = first + second + third
    inside = inside_outline(polygon, points[:, 0], points[:, 1])
    owners, points, shares = owners[inside], points[inside], shares[inside]
    seen = ~_covered(page, points)
    true_areas = np.linalg.norm(triangle_normals(body)[page.numbers[owners]], axis=1) / 2.0
    area = float((true_areas * shares)[seen].sum()) / TENTHS**2
    return 100.0 * area / body_model(body).surface_area


def regions_area_percent(body: str, keys: Iterable[str]) -> float:
    """Share of the body's whole surface, in percent, that the regions of these keys take up."""
    body_model(body)
    ids = {region(key).id for key in keys}
    areas = np.linalg.norm(triangle_normals(body), axis=1)
    return 100.0 * float(areas[np.isin(topology().triangle_regions, list(ids))].sum() / areas.sum())


def _polygon(view_key: str, outline: Outline) -> Floats:
    if len(outline) > MAX_OUTLINE_POINTS:
        raise BodyGeometryError(f"An outline may have at most {MAX_OUTLINE_POINTS} points.")
    looking = view(view_key)
    if not all(math.isfinite(u) and math.isfinite(v) for u, v in outline):
        raise BodyGeometryError("Each point of an outline needs two finite numbers.")
    return np.array([(u * TENTHS, looking.up_of_page(v) * TENTHS) for u, v in outline], float)


def _touched(page: Projection, polygon: Floats) -> Ints:
    """The triangles whose bounds overlap those of the polygon."""
    low = extreme(np.minimum, page.corners[:, :, :2])
    high = extreme(np.maximum, page.corners[:, :, :2])
    overlap = (low <= polygon.max(axis=0)) & (high >= polygon.min(axis=0))
    return np.flatnonzero(overlap[:, 0] & overlap[:, 1])


def _samples(page: Projection, touched: Ints, polygon: Floats) -> tuple[Ints, Floats, Floats]:
    """Centers of equal parts of each triangle: its place in the page, weights, share of it.

    Large triangles are divided more finely than small ones, so that samples lie evenly.
    """
    low, high = polygon.min(axis=0), polygon.max(axis=0)
    corners = page.corners[touched, :, :2].astype(np.float64)
    extents = (corners.max(axis=1) - corners.min(axis=1)).max(axis=1)
    step = math.sqrt(max(float((high - low).prod()), 1.0) / _SAMPLES)
    # In powers of two, so that there are few kinds of division.
    doublings = np.ceil(np.log2(np.maximum(extents / 2.0 / step, 1.0))).astype(np.int64)
    parts = np.minimum(2**doublings, _MOST_PARTS)
    owners, weights, shares = [], [], []
    for count in np.unique(parts):
        centers = _part_centers(int(count))
        members = touched[parts == count]
        owners.append(np.repeat(members, len(centers)))
        weights.append(np.tile(centers, (len(members), 1)))
        shares.append(np.full(len(members) * len(centers), 1.0 / len(centers)))
    return np.concatenate(owners), np.concatenate(weights), np.concatenate(shares)


def _part_centers(parts: int) -> Floats:
    """Barycentric weights of the centers of the parts² equal triangles within a triangle."""
    upright = [(i + 1 / 3, j + 1 / 3) for i in range(parts) for j in range(parts - i)]
    turned = [(i + 2 / 3, j + 2 / 3) for i in range(parts - 1) for j in range(parts - 1 - i)]
    pairs = np.array(upright + turned) / parts
    return np.column_stack((1.0 - pairs.sum(axis=1), pairs))


def inside_outline(polygon: Floats, u: Floats, v: Floats) -> NDArray[np.bool_]:
    """Whether each of many page points lies in a closed polygon (even-odd), shape of `u`."""
    # By height: each edge is asked about the points between its two ends alone.
    heights = v.ravel()
    within = (heights >= polygon[:, 1].min()) & (heights < polygon[:, 1].max())
    order = np.flatnonzero(within)
    order = order[np.argsort(heights[order])]
    across, heights = u.ravel()[order], heights[order]
    after = np.roll(polygon, -1, axis=0)
    starts = np.searchsorted(heights, np.minimum(polygon[:, 1], after[:, 1]))
    ends = np.searchsorted(heights, np.maximum(polygon[:, 1], after[:, 1]))
    odd = np.zeros(len(order), dtype=np.bool_)
    for (au, av), (bu, bv), start, end in zip(polygon, after, starts, ends, strict=True):
        if start < end:
            here = heights[start:end]
            odd[start:end] ^= across[start:end] < au + (here - av) * (bu - au) / (bv - av)
    inside = np.zeros(u.size, dtype=np.bool_)
    inside[order] = odd
    return inside.reshape(u.shape)


def _covered(page: Projection, points: Floats) -> NDArray[np.bool_]:
    """Whether some surface lies over each point, nearer to the viewer by more than the slack."""
    u, up, limit = points[:, 0], points[:, 1], points[:, 2] + _DEPTH_SLACK
    column = np.clip((u - page.left) // page.cell, 0, page.columns - 1).astype(np.int64)
    row = np.clip((up - page.bottom) // page.cell, 0, page.rows - 1).astype(np.int64)
    cell = row * page.columns + column
    starts, ends = page.cell_starts[cell], page.cell_starts[cell + 1]
    tops = extreme(np.maximum, page.corners[:, :, 2])
    covered = np.zeros(len(points), dtype=np.bool_)
    live = np.flatnonzero(starts < ends)
    offset = 0
    while len(live):
        items = page.cell_items[starts[live] + offset]
        # Most of what shares a cell with a point is its own surface, and can't cover it.
        may = tops[items] > limit[live] - _ROUNDING
        asked = live[may]
        corners = page.corners[items[may]].astype(np.float64)
        covered[asked] = _depth_at(corners, u[asked], up[asked]) > limit[asked]
        offset += 1
        live = live[(starts[live] + offset < ends[live]) & ~covered[live]]
    return covered


def _depth_at(corners: Floats, u: Floats, up: Floats) -> Floats:
    weights = corner_weights(corners, u, up)
    first, second, third = (weights * corners[:, :, 2]).T
    # Three columns: numpy takes many times as long along an axis that is as short as this.
    inside = (weights[:, 0] >= 0) & (weights[:, 1] >= 0) & (weights[:, 2] >= 0)
    return np.where(inside, first + second + third, -np.inf)
