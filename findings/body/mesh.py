"""The body surfaces as triangles, and each view's triangles sorted into a grid.

All bodies share one topology (`mesh/topology.bin`), each has its own vertices (`mesh/<body>.i16`).
Coordinates stay whole tenths of a unit here, so that the browser computes with the same numbers.

`topology.bin`, little-endian: "BODY", then the number of vertices, of quads and of region weights
as unsigned 32-bit; quads as four unsigned 16-bit vertex numbers each; one byte per quad, the number
of its region; one byte per vertex, how many regions it belongs to; then for all vertices in turn
the region numbers (bytes), then their weights (bytes, out of 255).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from findings.body.catalogue import ASSETS
from findings.body.regions import REGIONS
from findings.body.views import body_model, view, view_box

TENTHS: Final = 10.0
# Triangles for each cell of a view's grid, on average; more cells cost memory, fewer cost time.
_TRIANGLES_PER_CELL: Final = 1.5

Ints = NDArray[np.int64]
Shorts = NDArray[np.int16]
Floats = NDArray[np.float64]
_Number = TypeVar("_Number", np.int16, np.float64)


@dataclass(frozen=True, slots=True)
class Topology:
    """What all bodies share: triangles, the region of each, the region weights of each vertex."""

    triangles: Ints
    triangle_regions: Ints
    weight_starts: Ints
    weight_regions: Ints
    weights: Ints


@dataclass(frozen=True, slots=True)
class Projection:
    """The triangles that face the viewer in one view, with a grid to find them.

    `corners` has shape (n, 3, 3): triangle, corner, (u, up, toward) in tenths of a unit.
    `numbers` are their numbers in the topology. Cell `row * columns + column` holds the triangles
    `cell_items[cell_starts[cell]:cell_starts[cell + 1]]`.
    """

    corners: Shorts
    numbers: Ints
    left: float
    bottom: float
    cell: float
    columns: int
    rows: int
    cell_starts: Ints
    cell_items: NDArray[np.int32]


@lru_cache(maxsize=1)
def topology() -> Topology:
    """Read the shared topology; each quad (a, b, c, d) becomes (a, b, c) and (a, c, d)."""
    raw = (ASSETS / "mesh" / "topology.bin").read_bytes()
    magic, vertices, quads, pairs = struct.unpack_from("<4sIII", raw)
    if magic != b"BODY":
        raise ValueError("topology.bin is not a body topology")
    at = 16
    faces = np.frombuffer(raw, "<u2", quads * 4, at).reshape(-1, 4).astype(np.int64)
    at += quads * 8
    face_regions, counts, ids, weights = (
        np.frombuffer(raw, np.uint8, length, start).astype(np.int64)
        for length, start in (
            (quads, at),
            (vertices, at + quads),
            (pairs, at + quads + vertices),
            (pairs, at + quads + vertices + pairs),
        )
    )
    return Topology(
        triangles=faces[:, [0, 1, 2, 0, 2, 3]].reshape(-1, 3),
        triangle_regions=np.repeat(face_regions, 2),
        weight_starts=np.concatenate(([0], np.cumsum(counts))),
        weight_regions=ids,
        weights=weights,
    )


@lru_cache(maxsize=8)
def vertices(body: str) -> Ints:
    """The body's vertices, shape (n, 3), in tenths of a unit."""
    body_model(body)
    raw = (ASSETS / "mesh" / f"{body}.i16").read_bytes()
    return np.frombuffer(raw, "<i2").reshape(-1, 3).astype(np.int64)


@lru_cache(maxsize=8)
def triangle_normals(body: str) -> Floats:
    """The cross product of each triangle's sides, shape (n, 3), in tenths of a unit squared.

    It points outward, and is twice the triangle's area long. (The axes are left-handed, and the
    order of the corners takes that into account.)
    """
    corners = vertices(body)[topology().triangles]
    return np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).astype(np.float64)


@lru_cache(maxsize=96)  # every view of every body; about a megabyte each
def projection(body: str, view_key: str) -> Projection:
    """The view's triangles in page coordinates, sorted into a grid of square cells."""
    looking = view(view_key)
    view_box(body, view_key)
    shown_ids = [r.id for r in REGIONS.values() if looking.shows(r.base, r.side)]
    facing = triangle_normals(body)[:, looking.toward.index] * looking.toward.sign > 0
    kept = np.flatnonzero(facing & np.isin(topology().triangle_regions, shown_ids))
    points = vertices(body)[topology().triangles[kept]].astype(np.int16)
    axes = (looking.u, looking.up, looking.toward)
    corners = np.stack([points[:, :, axis.index] * axis.sign for axis in axes], axis=2)
    return _in_grid(corners, kept)


def extreme(of: np.ufunc, corners: NDArray[_Number]) -> NDArray[_Number]:
    """The least or greatest over the three corners of each triangle.

    Numpy takes many times as long along an axis that is as short as this.
    """
    found: NDArray[_Number] = of(of(corners[:, 0], corners[:, 1]), corners[:, 2])
    return found


def _in_grid(corners: Shorts, numbers: Ints) -> Projection:
    page = corners[:, :, :2].astype(np.float64)
    low, high = extreme(np.minimum, page), extreme(np.maximum, page)
    left, bottom = low.min(axis=0)
    width, height = high.max(axis=0) - (left, bottom)
    cell = float(max(1.0, np.sqrt(width * height * _TRIANGLES_PER_CELL / len(numbers))))
    columns, rows = int(width // cell) + 1, int(height // cell) + 1
    first = ((low - (left, bottom)) // cell).astype(np.int64)
    last = ((high - (left, bottom)) // cell).astype(np.int64)
    spans = last - first + 1
    per_triangle = spans[:, 0] * spans[:, 1]
    owner = np.repeat(np.arange(len(numbers)), per_triangle)
    step = np.arange(len(owner)) - np.repeat(np.cumsum(per_triangle) - per_triangle, per_triangle)
    column = first[owner, 0] + step % spans[owner, 0]
    row = first[owner, 1] + step // spans[owner, 0]
    cells = row * columns + column
    order = np.argsort(cells, kind="stable")
    counts = np.bincount(cells, minlength=columns * rows)
    return Projection(
        corners=corners,
        numbers=numbers,
        left=float(left),
        bottom=float(bottom),
        cell=cell,
        columns=columns,
        rows=rows,
        cell_starts=np.concatenate(([0], np.cumsum(counts))),
        cell_items=owner[order].astype(np.int32),
    )
