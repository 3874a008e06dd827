"""What the methods reckon with: numbers of double precision, one or many at once."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = NDArray[np.float64]


def floats(values: ArrayLike) -> Floats:
    """One number or many as an array of doubles of the same shape."""
    return np.asarray(values, np.float64)
