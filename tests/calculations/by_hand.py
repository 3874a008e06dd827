"""Sizes of points on a plane, four points' transform and uncertainties: a second way of each."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from findings.calculations.photo_measurement import Quantity, Scale


def solved(picture: np.ndarray, known: np.ndarray) -> np.ndarray:
    """Four points exactly: eight equations with the last entry at 1."""
    rows, right = [], []
    for (x, y), (u, v) in zip(picture, known, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(rows, right), 1).reshape(3, 3)


def length(mm: np.ndarray) -> float:
    """From the first point to the second."""
    return math.dist(mm[0], mm[1])


def around(mm: np.ndarray) -> float:
    return sum(math.dist(mm[i], mm[i - 1]) for i in range(len(mm)))


def area(mm: np.ndarray) -> float:
    x, y = mm.T
    return float(abs(sum(x[i] * y[i - 1] - x[i - 1] * y[i] for i in range(len(mm)))) / 2)


def angle(mm: np.ndarray) -> float:
    """At the second of three points, by the law of the scalar product, in degrees."""
    one, two = mm[0] - mm[1], mm[2] - mm[1]
    return math.degrees(math.acos(one @ two / math.hypot(*one) / math.hypot(*two)))


def uncertainty(
    measured: Callable[[np.ndarray], float], at: np.ndarray, errors: np.ndarray
) -> float:
    """The law of propagation (JCGM 100:2008, 5.1.2), by plain differences over every reading."""
    shares = []
    for index, error in enumerate(errors):
        ahead, behind = at.copy(), at.copy()
        ahead[index] += 1e-3
        behind[index] -= 1e-3
        shares.append((measured(ahead) - measured(behind)) / 2e-3 * error)
    return math.hypot(*shares)


def near(quantity: Quantity) -> Quantity:
    return Quantity(
        quantity.name,
        quantity.unit,
        *(
            pytest.approx(each, rel=1e-5)
            for each in (quantity.value, quantity.u, quantity.low, quantity.high)
        ),
    )


def two_points(px: float, mm: float) -> Scale:
    """A straight scale of so many px and mm."""
    return Scale(np.array([[500.0, 450], [500 + px, 450]]), np.array([[0.0, 0], [mm, 0]]))
