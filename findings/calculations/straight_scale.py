"""The limits of a size taken by a straight scale, over every tilt that the camera may have had.

Two points of a known length cannot show how the camera was tilted. So every view is tried that
could have given the picked points: each tilt up to the stated one, in each direction, through each
lens of the stated range. In each view the picked points are cast onto the plane, the scale's
length says how far away that plane was, and the size follows; the smallest and the largest are the
limits. Picking and the scale's own error are added at both ends.

Formula:
    ray of a point: r = ((x - cx) / F, (y - cy) / F, 1), F the focal length in px, (cx, cy) the
    middle of the picture
    plane: n = (sin t cos a, sin t sin a, cos t); point on it X = r / (n . r)
    distance of the plane: D = true mm / |X1 - X2| of the scale's ends
    size = |X3 - X4| (D -/+ h) with the scale up to h mm higher or lower than what is measured;
    areas with (D -/+ h)^2
    limits = least size (1 - 1.96 u / value) to greatest size (1 + 1.96 u / value)

Sources:
    - Hartley R, Zisserman A. Multiple View Geometry, chapter 6 (pinhole camera; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from findings.calculations.arrays import floats
from findings.calculations.plane_geometry import Array

# Common practice: nobody measures in a picture that is seen more slantingly than this.
MOST_TILT_DEG = 50.0
LEAST_TILT_DEG = 1.0
# Focal length over the picture's longer side: a telephone's wide lens (24 mm on a 36 mm picture is
# 0.67) to a long one, which is as good as a view without perspective.
ANY_LENS = (0.6, 8.0)
# A lens that the camera named may be this much shorter than it says (rounded, focused near).
SHORTER = 0.9
DIAGONAL_35MM = math.hypot(36.0, 24.0)
# Beyond this share between the limits the answer says nothing.
WIDEST = 4.0
# Cosine of the flattest ray that is tried: beyond it a size changes too fast between two tilts.
FLATTEST = math.cos(math.radians(80))

_TURNS = 72
_TILTS = (0.0, 0.25, 0.5, 0.75, 1.0)
_LENSES = 3
# Between two directions that are tried the size can be larger by this share of its change:
# 1 - cos(2.5 degrees twice).
_BETWEEN = 1 / math.cos(math.radians(360 / _TURNS)) - 1

Sizes: TypeAlias = "Callable[[Array], Array]"


@dataclass(frozen=True)
class Views:
    """Which views are possible: most tilt, lenses (F over the longer side), height of the scale."""

    tilt_deg: float
    depth_mm: float
    lens: tuple[float, float] = ANY_LENS


def lens_of(focal_35mm: float | None, size: tuple[int, int]) -> tuple[float, float]:
    """The possible lenses from the camera's 35 mm equivalent (mm), by diagonal; else any.

    A picture that was cropped comes from a longer lens than the camera's: the long end stays open.
    """
    if not focal_35mm or not 8 <= focal_35mm <= 2000:
        return ANY_LENS
    named = focal_35mm / DIAGONAL_35MM * math.hypot(*size) / max(size)
    return min(SHORTER * named, ANY_LENS[1]), max(ANY_LENS[1], named)


def cast(points: Array, normals: Array, focal_px: float, middle: Array) -> tuple[Array, Array]:
    """Points (n, 2) in px on planes (k, 3) at distance 1: (k, n, 3), and how flat the rays are."""
    rays = np.column_stack([(points - middle) / focal_px, np.ones(len(points))])
    toward = normals @ rays.T
    flat = toward / np.hypot(np.hypot(rays[:, 0], rays[:, 1]), 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return rays[None] / toward[..., None], flat


def lengths(placed: Array) -> Array:
    """Length of the line through points (k, n, 3)."""
    return floats(np.linalg.norm(np.diff(placed, axis=1), axis=2).sum(axis=1))


def perimeters(placed: Array) -> Array:
    """Length around points (k, n, 3)."""
    return lengths(np.concatenate([placed, placed[:, :1]], axis=1))


def areas(placed: Array) -> Array:
    """Area inside points (k, n, 3) of one plane."""
    from_first = placed - placed[:, :1]
    turned = np.cross(from_first, np.roll(from_first, -1, axis=1))
    return floats(np.linalg.norm(turned.sum(axis=1), axis=1) / 2)


def angles(placed: Array) -> Array:
    """Angle at the second of three points (k, 3, 3), in degrees."""
    one, two = placed[:, 0] - placed[:, 1], placed[:, 2] - placed[:, 1]
    across = np.linalg.norm(np.cross(one, two), axis=1)
    return floats(np.degrees(np.arctan2(across, (one * two).sum(axis=1))))


def limits(
    sizes: Sizes,
    power: int,
    scale: tuple[Array, float],
    points: Array,
    picture: tuple[int, int],
    views: Views,
) -> tuple[float, float] | None:
    """Least and greatest size over all views, or None where a view is too flat to tell.

    `sizes` takes points (k, n, 3); `power` is how it grows with the distance: 0, 1 or 2. `scale`
    is its two ends (2, 2) in px and their true distance in mm.
    """
    ends, true_mm = scale
    normals = _normals(math.radians(views.tilt_deg))
    middle = floats(picture) / 2
    low, high = math.inf, -math.inf
    for focal in np.geomspace(*views.lens, _LENSES) * max(picture):
        placed, flat = cast(np.vstack([ends, points]), normals, float(focal), middle)
        if float(flat.min()) < FLATTEST:
            return None
        away_mm = true_mm / lengths(placed[:, :2])
        found = sizes(placed[:, 2:])
        low = min(low, float((found * np.maximum(away_mm - views.depth_mm, 0) ** power).min()))
        high = max(high, float((found * (away_mm + views.depth_mm) ** power).max()))
    between = _BETWEEN * (high - low)
    return low - between, high + between


def outward(
    bounds: tuple[float, float], value: float, beyond: float, power: int
) -> tuple[float, float]:
    """Limits farther out by what picking adds to the value seen square on; both hold the value.

    A length or area grows by the same share as its value, an angle by the same degrees.
    """
    low, high = bounds
    if power == 0:
        low, high = low - beyond, high + beyond
    elif value > 0:
        low, high = low * (1 - beyond / value), high * (1 + beyond / value)
    return max(min(low, value), 0.0), max(high, value)


def _normals(most_tilt: float) -> Array:
    turn = np.arange(_TURNS) * (2 * math.pi / _TURNS)
    return np.vstack(
        [
            np.column_stack(
                [
                    math.sin(tilt) * np.cos(turn),
                    math.sin(tilt) * np.sin(turn),
                    np.full(_TURNS, math.cos(tilt)),
                ]
            )
            for tilt in (share * most_tilt for share in _TILTS)
        ]
    )
