"""Plane geometry of photographs: homography, lengths, areas and first-order uncertainty.

Points are arrays of shape (n, 2). A homography is a 3 x 3 array that takes points of the picture
(pixels) to points of the measured plane (millimeters). Hartley and Zisserman, Multiple View
Geometry, chapter 4 (from memory): normalized direct linear transformation.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import combinations
from typing import TypeAlias

import numpy as np

from findings.calculations.arrays import Floats, floats

Array: TypeAlias = Floats
# Three points count as in line when the triangle is this thin against its longest side.
THINNEST_TRIANGLE = 1e-3


def length(first: Array, second: Array) -> float:
    """Distance of two points."""
    return float(np.hypot(*(second - first)))


def polygon_area(points: Array) -> float:
    """Area inside a simple polygon (shoelace); the order of its corners does not matter."""
    x, y = (points - points[0]).T
    after_x, after_y = np.concatenate([points[1:], points[:1]]).T - points[0][:, None]
    return float(abs(np.dot(x, after_y) - np.dot(y, after_x)) / 2)


def angle_deg(first: Array, corner: Array, second: Array) -> float:
    """Angle at the corner between the other two points, 0 to 180 degrees."""
    one, two = first - corner, second - corner
    cross = one[0] * two[1] - one[1] * two[0]
    return math.degrees(math.atan2(abs(cross), float(np.dot(one, two))))


def _turn(a: Array, b: Array, c: Array) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def crosses_itself(points: Array) -> bool:
    """Whether two sides of a polygon cross; neighbors meet at their corner and do not."""
    after = np.roll(points, -1, axis=0)
    for i, j in combinations(range(len(points)), 2):
        a, b, c, d = points[i], after[i], points[j], after[j]
        if _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0:
            return True
    return False


def in_line(points: Array) -> bool:
    """Whether all points lie (almost) in one line or coincide."""
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(spread[1] <= THINNEST_TRIANGLE * spread[0])


def has_three_in_line(points: Array) -> bool:
    """Whether any three of the points lie (almost) in one line or coincide."""
    for a, b, c in combinations(points, 3):
        longest = max(length(a, b), length(b, c), length(a, c))
        if abs(_turn(a, b, c)) <= THINNEST_TRIANGLE * longest**2:
            return True
    return False


def _normalized(points: Array) -> tuple[Array, Array]:
    """Points with center 0 and mean distance sqrt 2, and the transform that made them so."""
    count = points.shape[-2]
    center = np.add.reduce(points, axis=-2, keepdims=True) / count
    around = points - center
    away = np.add.reduce(np.hypot(around[..., 0], around[..., 1]), axis=-1) / count
    scale = math.sqrt(2) / away
    transform = np.zeros((*scale.shape, 3, 3))
    transform[..., :2, :2] = scale[..., None, None] * np.eye(2)
    transform[..., :2, 2] = -scale[..., None] * center[..., 0, :]
    transform[..., 2, 2] = 1
    return around * scale[..., None, None], transform


def homography(picture: Array, plane: Array) -> Array:
    """The transform from picture to plane through four points, least squares through more.

    Of many pairs of pictures and planes (k, n, 2) it is one a pair (k, 3, 3): an interval takes
    some hundred of these, which is four times as quick at once.
    """
    source, from_picture = _normalized(picture)
    target, from_plane = _normalized(plane)
    flat = np.ones((*source.shape[:-1], 3))
    flat[..., :2] = source
    # Two rows a point: -x, -y, -1, 0, 0, 0, ux, uy, u and 0, 0, 0, -x, -y, -1, vx, vy, v.
    rows = np.zeros((*source.shape[:-2], 2, source.shape[-2], 3, 3))
    rows[..., 0, :, 0, :] = rows[..., 1, :, 1, :] = -flat
    rows[..., 2, :] = np.swapaxes(target, -1, -2)[..., None] * flat[..., None, :, :]
    smallest = np.linalg.svd(rows.reshape(*source.shape[:-2], -1, 9))[2][..., -1, :]
    core = smallest.reshape(*smallest.shape[:-1], 3, 3)
    return floats(np.linalg.inv(from_plane) @ core @ from_picture)


def depths(transform: Array, points: Array) -> Array:
    """The third coordinate of mapped points; a change of sign means the horizon lies between."""
    return floats(points @ transform[2, :2] + transform[2, 2])


def mapped(transform: Array, points: Array) -> Array:
    """Points of the picture on the plane; by many transforms (k, 3, 3) as many times (k, n, 2)."""
    flat = np.ones((*points.shape[:-1], 3))
    flat[..., :2] = points
    flat = flat @ np.swapaxes(transform, -1, -2)
    return floats(flat[..., :2] / flat[..., 2:])


def propagated(
    function: Callable[[Array], Sequence[float]], at: Array, errors: Array, step: float = 1e-4
) -> float:
    """Standard uncertainty of a function of many readings, first order, independent errors.

    Derivatives by central differences of `step` times each reading's own error
    (JCGM 100:2008, section 5.1.3, note 2). The function is asked once, for rows of readings.
    """
    own = errors[errors != 0]
    if not len(own):
        return 0.0
    moves = np.diag(errors * step)[errors != 0]
    ahead, behind = np.reshape(function(np.concatenate([at + moves, at - moves])), (2, -1))
    slopes = (ahead - behind) / (2 * own * step)
    return float(np.hypot.reduce(slopes * own))
