"""What can be measured from picked points, and the quantities that each kind gives."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import TypeAlias

import numpy as np

from findings.calculations import plane_geometry as plane
from findings.calculations import straight_scale as straight
from findings.calculations.photo_plane import MOST_OBJECT_POINTS
from findings.calculations.plane_geometry import Array


class MeasureKind(StrEnum):
    """What is measured."""

    LENGTH = "length"
    POLYLINE = "polyline"
    AREA = "area"
    ANGLE = "angle"


# kind: (fewest points, most points)
POINTS_OF = {
    MeasureKind.LENGTH: (2, 2),
    MeasureKind.POLYLINE: (2, MOST_OBJECT_POINTS),
    MeasureKind.AREA: (3, MOST_OBJECT_POINTS),
    MeasureKind.ANGLE: (3, 3),
}


Measure: TypeAlias = "Callable[[Array], float]"


def path(points: Array) -> float:
    """Length of the line through points (n, 2)."""
    return float(np.hypot(*(points[1:] - points[:-1]).T).sum())


def _around(points: Array) -> float:
    return path(np.vstack([points, points[:1]]))


def _angle(points: Array) -> float:
    return plane.angle_deg(points[0], points[1], points[2])


# kind: what is computed from the points on the plane, with its unit
QUANTITIES: dict[MeasureKind, tuple[tuple[str, str, Measure], ...]] = {
    MeasureKind.LENGTH: (("length", "mm", path),),
    MeasureKind.POLYLINE: (("length", "mm", path),),
    MeasureKind.AREA: (("area", "mm2", plane.polygon_area), ("perimeter", "mm", _around)),
    MeasureKind.ANGLE: (("angle", "deg", _angle),),
}

# kind: the same quantities from points on tilted planes, and how they grow with distance
STRAIGHT: dict[MeasureKind, tuple[tuple[straight.Sizes, int], ...]] = {
    MeasureKind.LENGTH: ((straight.lengths, 1),),
    MeasureKind.POLYLINE: ((straight.lengths, 1),),
    MeasureKind.AREA: ((straight.areas, 2), (straight.perimeters, 1)),
    MeasureKind.ANGLE: ((straight.angles, 0),),
}
