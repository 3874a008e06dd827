"""Where the numbered labels of a chart stand: beside the body, none upon another.

Labels are placed one at a time on the nearest free spot of a coarse grid, avoiding leader lines
that cross; then pairs whose leaders still cross change places.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from findings.body.marks import PagePoint
from findings.body.mesh import TENTHS, projection
from findings.body.views import Box, view, view_box

_ROWS: Final = 220
# How many near spots are compared for crossings; more changes nothing that can be seen.
_SPOTS_COMPARED: Final = 60
_CROSSING_COST: Final = 60.0
_OVER_MARK_COST: Final = 40.0
_FEWEST_ROOM: Final = 25
_SMALLEST: Final = 0.5

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class LabelSize:
    """Width and height of a label and the gap kept around it, in page units."""

    width: float
    height: float
    gap: float


def chart_box(body: str, view_key: str) -> Box:
    """The view's box with room for labels on either side."""
    box = view_box(body, view_key)
    room = box.height * 0.07
    if box.width < box.height * 0.5:
        # Side views are narrow; the whole column beside the figure is free.
        room = box.height * 0.09
    return Box(box.x - room, box.y, box.width + 2 * room, box.height)


def label_size(body: str, view_key: str, count: int) -> LabelSize:
    """The size of labels in a view: smaller when there are very many."""
    unit = view_box(body, view_key).height / 1000
    shrink = max(_SMALLEST, min(1.0, math.sqrt(_FEWEST_ROOM * 3 / max(count, 1))))
    return LabelSize(26 * unit * shrink, 24 * unit * shrink, 6 * unit * shrink)


def place_labels(
    body: str, view_key: str, anchors: Sequence[PagePoint], size: LabelSize
) -> list[PagePoint]:
    """The centre of the label of each anchor, in the order given.

    Labels lie within the chart's box, beside the drawn body where there is room, and do not overlap
    one another as long as the page can hold them.
    """
    if not anchors:
        return []
    box = chart_box(body, view_key)
    cell = box.height / _ROWS
    taken = _body_cells(body, view_key).copy()
    spots = np.zeros((len(anchors), 2))
    placed: list[int] = []
    points = np.array(anchors, dtype=float)
    for index in _outermost_first(points, box):
        spot = _best_spot(points, index, spots[placed], points[placed], taken, box, cell, size)
        spots[index] = spot
        placed.append(index)
        _occupy(taken, spot, box, cell, size)
    _uncross(points, spots)
    return [(float(u), float(v)) for u, v in spots]


@lru_cache(maxsize=96)
def _body_cells(body: str, view_key: str) -> Mask:
    """Which cells of the chart's grid the drawn body covers."""
    box = chart_box(body, view_key)
    cell = box.height / _ROWS
    page = projection(body, view_key)
    corners = page.corners[:, :, :2].astype(np.float64) / TENTHS
    sides = (corners + np.roll(corners, 1, axis=1)) / 2
    dots = np.concatenate((corners, sides, corners.mean(axis=1, keepdims=True)), axis=1)
    u, up = dots.reshape(-1, 2).T
    v = 1000.0 - up if view(view_key).up.index == 2 else -up
    covered: Mask = np.zeros((_ROWS, math.ceil(box.width / cell)), dtype=np.bool_)
    column = ((u - box.x) // cell).astype(int)
    row = ((v - box.y) // cell).astype(int)
    within = (column >= 0) & (column < covered.shape[1]) & (row >= 0) & (row < _ROWS)
    covered[row[within], column[within]] = True
    return covered


def _outermost_first(points: NDArray[np.float64], box: Box) -> list[int]:
    """Marks near the side of the page have the least choice, so they come first."""
    middle = box.x + box.width / 2
    return [int(i) for i in np.lexsort((points[:, 1], -np.abs(points[:, 0] - middle)))]


def _best_spot(
    points: NDArray[np.float64],
    index: int,
    spots: NDArray[np.float64],
    ends: NDArray[np.float64],
    taken: Mask,
    box: Box,
    cell: float,
    size: LabelSize,
) -> NDArray[np.float64]:
    anchor = points[index]
    free = _free_centres(taken, cell, size)
    if len(free) == 0:
        # More labels than the page holds: keep the number at its mark rather than lose it.
        return anchor.copy()
    centres = (free[:, ::-1] + 0.5) * cell + (box.x, box.y)
    away = centres - anchor
    # Level leaders read better than steep ones.
    cost = np.hypot(away[:, 0], away[:, 1] * 1.4)
    nearest = np.argsort(cost, kind="stable")[
        : _SPOTS_COMPARED * 20 : 20 if len(cost) > 4000 else 5
    ]
    nearest = np.union1d(nearest, np.argsort(cost, kind="stable")[:12])
    cost = cost[nearest].copy()
    unit = box.height / 1000
    for k, centre in enumerate(centres[nearest]):
        cost[k] += _CROSSING_COST * unit * _crossings(anchor, centre, ends, spots)
        cost[k] += _OVER_MARK_COST * unit * _passes_over(points, index, centre, size.gap)
    best: NDArray[np.float64] = centres[nearest[int(np.argmin(cost))]]
    return best


def _free_centres(taken: Mask, cell: float, size: LabelSize) -> NDArray[np.int64]:
    """Cells (row, column) on which a label with its gap can be centred."""
    half_rows = math.ceil((size.height / 2 + size.gap / 2) / cell)
    half_columns = math.ceil((size.width / 2 + size.gap / 2) / cell)
    sums = np.pad(taken.astype(np.int32), ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    height, width = 2 * half_rows + 1, 2 * half_columns + 1
    if height > taken.shape[0] or width > taken.shape[1]:
        return np.empty((0, 2), dtype=np.int64)
    inside = sums[height:, width:] - sums[:-height, width:] - sums[height:, :-width]
    inside = inside + sums[:-height, :-width]
    return np.argwhere(inside == 0) + np.array([half_rows, half_columns])


def _occupy(taken: Mask, spot: NDArray[np.float64], box: Box, cell: float, size: LabelSize) -> None:
    left = int((spot[0] - size.width / 2 - box.x) // cell)
    right = int((spot[0] + size.width / 2 - box.x) // cell)
    top = int((spot[1] - size.height / 2 - box.y) // cell)
    bottom = int((spot[1] + size.height / 2 - box.y) // cell)
    taken[max(top, 0) : bottom + 1, max(left, 0) : right + 1] = True


def _crossings(
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    starts: NDArray[np.float64],
    stops: NDArray[np.float64],
) -> int:
    """How many of the segments start-stop the segment a-b crosses."""
    if len(starts) == 0:
        return 0
    side_start = _turn(a, b, starts) * _turn(a, b, stops)
    side_ab = _turn(starts, stops, a) * _turn(starts, stops, b)
    return int(((side_start < 0) & (side_ab < 0)).sum())


def _turn(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]
) -> NDArray[np.float64]:
    result: NDArray[np.float64] = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (
        b[..., 1] - a[..., 1]
    ) * (c[..., 0] - a[..., 0])
    return result


def _passes_over(
    points: NDArray[np.float64], index: int, centre: NDArray[np.float64], within: float
) -> int:
    """How many other marks the leader would touch."""
    along = centre - points[index]
    length = float(along @ along)
    if length == 0 or len(points) == 1:
        return 0
    others = np.delete(points, index, axis=0) - points[index]
    share = np.clip(others @ along / length, 0, 1)
    gaps = np.hypot(*(others - share[:, None] * along).T)
    return int(((gaps < within) & (share > 0)).sum())


def _uncross(points: NDArray[np.float64], spots: NDArray[np.float64]) -> None:
    """Let pairs whose leaders cross change places; each change shortens the whole."""
    for _ in range(6):
        changed = False
        for i in range(len(points)):
            side = _turn(points[i], spots[i], points) * _turn(points[i], spots[i], spots)
            other = _turn(points, spots, points[i]) * _turn(points, spots, spots[i])
            for j in np.flatnonzero((side < 0) & (other < 0)):
                if j > i:
                    spots[[i, j]] = spots[[j, i]]
                    changed = True
                    break
        if not changed:
            return
