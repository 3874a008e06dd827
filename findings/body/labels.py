"""Where the numbered labels of a chart stand: beside the body, none upon another.

Labels are placed one at a time on the nearest free spot of a coarse grid, avoiding leader lines
that cross; then pairs whose leaders still cross change places. The free spots of a view are found
once and kept: each label then only strikes out those that it covers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from findings.body.area import inside_outline
from findings.body.marks import PagePoint
from findings.body.mesh import TENTHS, projection
from findings.body.schematics import parts
from findings.body.views import CROWN_HEEL, SCHEMATICS, Box, view, view_box

_ROWS: Final = 220
# How many spots are compared for crossings; more changes nothing that can be seen.
_SPOTS_COMPARED: Final = 60
# The nearest spots among which those compared are spread.
_SPOTS_NEAR: Final = 1600
# From this many labels on, every second row and column of the grid is fine enough.
_COARSE_FROM: Final = 30
# Costs in thousandths of the figure's height, beside the length of the leader itself.
_CROSSING_COST: Final = 60.0
_OVER_MARK_COST: Final = 40.0
_OVER_LABEL_COST: Final = 120.0
# Between arm and trunk or between the legs a label is crowded and easily read as a mark.
_ENCLOSED_COST: Final = 90.0
# The page shows the opposite view small in the lower right corner of a tall chart: shares of its
# width and height, and what a label there costs.
_CORNER: Final = (0.27, 0.27)
_CORNER_COST: Final = 400.0
_TALL: Final = 1.2
# Up to about this many labels keep their full size.
_FULL_SIZE_UP_TO: Final = 40
_SMALLEST: Final = 0.5

Mask = NDArray[np.bool_]
Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LabelSize:
    """Width and height of a label and the gap kept around it, in page units."""

    width: float
    height: float
    gap: float


def chart_box(body: str, view_key: str) -> Box:
    """The view's box with room for labels on either side."""
    box = view_box(body, view_key)
    # Narrow figures get more, so that their labels need not all stand in one column.
    room = box.height * (0.07 if box.width > box.height * 0.5 else 0.09)
    return Box(box.x - room, box.y, box.width + 2 * room, box.height)


def page_unit(body: str, view_key: str) -> float:
    """A thousandth of the size at which the view is seen: what signs and letters scale with."""
    box = chart_box(body, view_key)
    return max(box.height, box.width * 1.3) / 1000


def label_size(body: str, view_key: str, numbers: Sequence[int | str]) -> LabelSize:
    """The size of the labels of a view: wider for long numbers, smaller when there are many."""
    digits = max((len(str(number)) for number in numbers), default=1)
    shrink = max(_SMALLEST, min(1.0, math.sqrt(_FULL_SIZE_UP_TO / max(len(numbers), 1))))
    scale = page_unit(body, view_key) * shrink
    return LabelSize((32 + 9 * max(0, digits - 2)) * scale, 30 * scale, 6 * scale)


def place_labels(
    body: str, view_key: str, anchors: Sequence[PagePoint], size: LabelSize
) -> list[PagePoint]:
    """The center of the label of each anchor, in the order given.

    Labels lie within the chart's box, beside the drawn body where there is room, and do not overlap
    one another as long as the page can hold them.
    """
    if not anchors:
        return []
    points = np.array(anchors, dtype=float)
    page = _Page(body, view_key, size, len(points))
    spots = np.zeros((len(anchors), 2))
    placed: list[int] = []
    for index in _outermost_first(points, chart_box(body, view_key)):
        spots[index] = page.best_spot(points, index, spots[placed], points[placed])
        page.occupy(spots[index])
        placed.append(index)
    _uncross(points, spots)
    return [(float(u), float(v)) for u, v in spots]


class _Page:
    """The spots of a view's page on which a label can still be centered."""

    def __init__(self, body: str, view_key: str, size: LabelSize, labels: int) -> None:
        self.unit = page_unit(body, view_key)
        self.size = size
        self.labels = labels
        step = 1 if labels < _COARSE_FROM else 2
        self.centers, self.surcharge = _free_centers(body, view_key, size, step)

    def best_spot(self, points: Points, index: int, spots: Points, ends: Points) -> Points:
        """The cheapest free center for the label of a mark, given the leaders drawn so far."""
        anchor: Points = points[index]
        if len(self.centers) == 0:
            # More labels than the page holds: keep the number at its mark rather than lose it.
            return anchor
        away = self.centers - anchor
        # Level leaders read better than steep ones.
        cost = np.hypot(away[:, 0], away[:, 1] * 1.4) + self.surcharge
        tried = _nearest_and_some_farther(cost, self.labels)
        centers: Points = self.centers[tried]
        others: Points = np.delete(points, index, axis=0)
        reach = self.size.height / 2 + self.size.gap / 2
        penalty = (
            _CROSSING_COST * _crossings(anchor, centers, ends, spots)
            + _OVER_MARK_COST * _touched(anchor, centers, others, self.size.gap)
            + _OVER_LABEL_COST * _touched(anchor, centers, spots, reach)
            + _OVER_LABEL_COST * _touching(centers, ends, spots, reach)
        )
        best: Points = centers[int(np.argmin(cost[tried] + penalty * self.unit))]
        return best.copy()

    def occupy(self, spot: Points) -> None:
        """Strike out the centers of labels that would overlap the one at a spot."""
        away = np.abs(self.centers - spot)
        half_gap = self.size.gap / 2
        apart = (away[:, 0] >= self.size.width + half_gap) | (
            away[:, 1] >= self.size.height + half_gap
        )
        self.centers, self.surcharge = self.centers[apart], self.surcharge[apart]


@lru_cache(maxsize=96)
def _free_centers(body: str, view_key: str, size: LabelSize, step: int) -> tuple[Points, Points]:
    """Where a label with its gap can be centered beside the body, and what a spot costs more."""
    box = chart_box(body, view_key)
    cell = box.height / _ROWS
    taken = _body_cells(body, view_key)
    half_rows = math.ceil((size.height + size.gap) / 2 / cell)
    half_columns = math.ceil((size.width + size.gap) / 2 / cell)
    height, width = 2 * half_rows + 1, 2 * half_columns + 1
    if height > taken.shape[0] or width > taken.shape[1]:
        return np.empty((0, 2)), np.empty(0)
    sums = np.pad(taken.astype(np.int32), ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    inside = sums[height:, width:] - sums[:-height, width:]
    inside = inside - sums[height:, :-width] + sums[:-height, :-width]
    free = np.argwhere(inside[::step, ::step] == 0) * step + np.array([half_rows, half_columns])
    centers = (free[:, ::-1] + 0.5) * cell + np.array([box.x, box.y])
    enclosed = _between_left_and_right(taken)[free[:, 0], free[:, 1]]
    cost = enclosed * _ENCLOSED_COST + _in_corner(centers, box) * _CORNER_COST
    return centers, cost * page_unit(body, view_key)


def _in_corner(centers: Points, box: Box) -> Mask:
    """Which spots lie in the corner that the page uses for the opposite view."""
    if box.height < _TALL * box.width:
        return np.zeros(len(centers), dtype=np.bool_)
    share_u = (centers[:, 0] - box.x) / box.width
    share_v = (centers[:, 1] - box.y) / box.height
    corner: Mask = (share_u > 1 - _CORNER[0]) & (share_v > 1 - _CORNER[1])
    return corner


def _nearest_and_some_farther(cost: Points, labels: int) -> NDArray[np.int64]:
    """Which spots to compare closely: the cheapest, and a spread of those farther away.

    Fewer where there are many labels: then the cheapest free spot is good enough, and time counts.
    """
    near = _SPOTS_NEAR if labels < _COARSE_FROM else _SPOTS_NEAR // 4
    count = min(len(cost), near)
    compared = max(8, min(_SPOTS_COMPARED, _SPOTS_COMPARED * 40 // labels))
    cheap = np.argpartition(cost, count - 1)[:count]
    order = cheap[np.argsort(cost[cheap], kind="stable")]
    tried: NDArray[np.int64] = np.concatenate((order[:10], order[10 :: near // compared]))
    return tried


def _between_left_and_right(covered: Mask) -> Mask:
    """Cells that have the body to their left and to their right."""
    from_left = np.logical_or.accumulate(covered, axis=1)
    from_right = np.logical_or.accumulate(covered[:, ::-1], axis=1)[:, ::-1]
    between: Mask = from_left & from_right
    return between


@lru_cache(maxsize=96)
def _body_cells(body: str, view_key: str) -> Mask:
    """Which cells of the chart's grid the drawn body covers."""
    box = chart_box(body, view_key)
    cell = box.height / _ROWS
    u, v = _dots_on_schematic(view_key, cell) if view_key in SCHEMATICS else _dots(body, view_key)
    covered: Mask = np.zeros((_ROWS, math.ceil(box.width / cell)), dtype=np.bool_)
    column = ((u - box.x) // cell).astype(int)
    row = ((v - box.y) // cell).astype(int)
    within = (column >= 0) & (column < covered.shape[1]) & (row >= 0) & (row < _ROWS)
    covered[row[within], column[within]] = True
    return covered


def _dots(body: str, view_key: str) -> Points:
    """Page points spread over the drawn surface, shape (2, n)."""
    corners = projection(body, view_key).corners[:, :, :2].astype(np.float64) / TENTHS
    sides = (corners + np.roll(corners, 1, axis=1)) / 2
    dots = np.concatenate((corners, sides, corners.mean(axis=1, keepdims=True)), axis=1)
    u, up = dots.reshape(-1, 2).T
    return np.stack((u, CROWN_HEEL - up if view(view_key).up.index == 2 else -up))


def _dots_on_schematic(view_key: str, step: float) -> Points:
    """Page points spread over the parts of a schematic drawing, shape (2, n)."""
    box = SCHEMATICS[view_key].box
    us, vs = np.meshgrid(
        np.arange(box.x, box.x + box.width, step), np.arange(box.y, box.y + box.height, step)
    )
    inside = np.zeros(us.shape, dtype=np.bool_)
    for part in parts(view_key):
        inside |= inside_outline(np.array(part.outline), us, vs)
    return np.stack((us[inside], vs[inside]))


def _outermost_first(points: Points, box: Box) -> list[int]:
    """Marks near the side of the page have the least choice, so they come first."""
    middle = box.x + box.width / 2
    return [int(i) for i in np.lexsort((points[:, 1], -np.abs(points[:, 0] - middle)))]


def _crossings(start: Points, ends: Points, other_starts: Points, other_ends: Points) -> Points:
    """For each segment from `start` to one of `ends`, how many other segments it crosses."""
    if len(other_starts) == 0:
        return np.zeros(len(ends))
    a, b = start[None, None, :], ends[:, None, :]
    c, d = other_starts[None, :, :], other_ends[None, :, :]
    apart = (_turn(a, b, c) * _turn(a, b, d) < 0) & (_turn(c, d, a) * _turn(c, d, b) < 0)
    counts: Points = apart.sum(axis=1).astype(np.float64)
    return counts


def _turn(a: Points, b: Points, c: Points) -> Points:
    first = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1])
    second = (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
    result: Points = first - second
    return result


def _touched(start: Points, ends: Points, dots: Points, within: float) -> Points:
    """For each segment from `start` to one of `ends`, how many dots it comes close to."""
    starts = np.broadcast_to(start, ends.shape)
    counts: Points = _close(starts, ends, dots, within).sum(axis=1).astype(np.float64)
    return counts


def _touching(dots: Points, starts: Points, ends: Points, within: float) -> Points:
    """For each dot, how many segments come close to it."""
    counts: Points = _close(starts, ends, dots, within).sum(axis=0).astype(np.float64)
    return counts


def _close(starts: Points, ends: Points, dots: Points, within: float) -> Mask:
    """Whether each segment comes close to each dot, beyond the segment's own start."""
    # By component: arrays of pairs of coordinates cost several times as much.
    along_u, along_v = (ends - starts).T[:, :, None]
    away_u = dots[None, :, 0] - starts[:, None, 0]
    away_v = dots[None, :, 1] - starts[:, None, 1]
    lengths = np.maximum(along_u * along_u + along_v * along_v, 1e-12)
    share = (away_u * along_u + away_v * along_v) / lengths
    beyond = share > 0
    np.clip(share, 0.0, 1.0, out=share)
    away_u -= share * along_u
    away_v -= share * along_v
    close: Mask = (away_u * away_u + away_v * away_v < within * within) & beyond
    return close


def _uncross(points: Points, spots: Points) -> None:
    """Let pairs whose leaders cross change places; each change shortens the whole."""
    for _ in range(12):
        pairs = _crossing_pairs(points, spots)
        if not pairs:
            return
        moved: set[int] = set()
        for i, j in pairs:
            if i in moved or j in moved:
                continue  # its leader is another one by now
            spots[[i, j]] = spots[[j, i]]
            moved |= {i, j}


def _crossing_pairs(points: Points, spots: Points) -> list[tuple[int, int]]:
    """Which leaders cross, each pair once."""
    a, b = points[:, None, :], spots[:, None, :]
    beside = _turn(a, b, points[None, :, :]) * _turn(a, b, spots[None, :, :]) < 0
    return [(int(i), int(j)) for i, j in np.argwhere(np.triu(beside & beside.T, 1))]
