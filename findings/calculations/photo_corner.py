"""Finding a corner near a picked point, to a fraction of a pixel.

Every brightness step near a corner lies on a line through it, so its gradient is at right angles
to the way from the corner: the corner is the least squares solution of that, weighted around the
last guess (Förstner W, Gülch E. ISPRS Intercommission Workshop, Interlaken 1987, pp. 281-305,
from memory). It holds for the crossing of two edges (a card's corner, a checkered field), not for
the end of a thin line; where the neighborhood shows no such crossing, nothing is proposed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from findings.calculations.arrays import floats
from findings.calculations.plane_geometry import Array

HALF_PX = 6  # half the side of the neighborhood
FARTHEST_PX = 4.0  # a corner farther from the picked point is another one
STEPS, SETTLED_PX = 30, 0.005
# Smaller over larger spread of the gradients: along one straight edge it is near zero.
LEAST_CROSSING = 0.08
LEAST_CONTRAST = 12.0  # of 255, between the brightest and the darkest tenth


@dataclass(frozen=True)
class Corner:
    """A proposed corner, in px; the middle of the first pixel is (0.5, 0.5)."""

    x: float
    y: float
    moved_px: float


def find_corner(gray: Array, x: float, y: float) -> Corner | None:
    """The corner near (x, y) of a picture (rows, columns) of brightness 0 to 255, or None."""
    start = np.array([x, y])
    place = start - 0.5
    for _ in range(STEPS):
        window = _window(gray, place)
        if window is None:
            return None
        offset = _solved(window)
        if offset is None:
            return None
        place = place + offset
        if np.hypot(*(place + 0.5 - start)) > FARTHEST_PX:
            return None
        if np.hypot(*offset) < SETTLED_PX:
            found = place + 0.5
            return Corner(float(found[0]), float(found[1]), float(np.hypot(*(found - start))))
    return None


def _window(gray: Array, place: Array) -> Array | None:
    """Brightness around a place, bilinear between pixels, one wider for the gradients."""
    reach = HALF_PX + 1
    left, top = np.floor(place).astype(int) - reach
    size = 2 * reach + 2
    if left < 0 or top < 0 or left + size > gray.shape[1] or top + size > gray.shape[0]:
        return None
    part = floats(gray[top : top + size, left : left + size])
    right, down = place - np.floor(place)
    across = part[:, :-1] * (1 - right) + part[:, 1:] * right
    return floats(across[:-1] * (1 - down) + across[1:] * down)


def _solved(window: Array) -> Array | None:
    bright, dark = np.percentile(window, 90), np.percentile(window, 10)
    if bright - dark < LEAST_CONTRAST:
        return None
    gx = (window[1:-1, 2:] - window[1:-1, :-2]) / 2
    gy = (window[2:, 1:-1] - window[:-2, 1:-1]) / 2
    steps = np.arange(-HALF_PX, HALF_PX + 1)
    dx, dy = np.meshgrid(steps, steps)
    weight = np.exp(-(dx**2 + dy**2) / (2 * (HALF_PX / 2) ** 2))
    xx, xy, yy = ((weight * a * b).sum() for a, b in ((gx, gx), (gx, gy), (gy, gy)))
    matrix = np.array([[xx, xy], [xy, yy]])
    spread = np.linalg.eigvalsh(matrix)
    if spread[0] <= LEAST_CROSSING * spread[1]:
        return None
    along = gx * dx + gy * dy
    right = np.array([(weight * gx * along).sum(), (weight * gy * along).sum()])
    return floats(np.linalg.solve(matrix, right))
