"""Where a surface point lies on the measured body, in the words of a report.

Heights are those of the anatomical position: above the heel (the lowest point of the surface) and
below the top of the head. The distance from the midline is level and straight, as between two
plumb lines, not along the curved skin. Everything here is derived; a value measured by hand at the
table takes precedence.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np

from findings.body.catalogue import BodyGeometryError
from findings.body.mesh import TENTHS, Floats, topology, triangle_normals, vertices
from findings.body.midline import side_of
from findings.body.regions import Side
from findings.body.views import CROWN_HEEL, Point3, body_model

Midline = Literal["anterior", "posterior"]

# From the smallest fetus that is examined to taller than anyone recorded.
SHORTEST_CM: Final = 5.0
TALLEST_CM: Final = 300.0
# Surface that faces backward by more than about 15 degrees is measured from the posterior midline;
# the sides of the body are measured from the anterior one (common practice).
_FACES_BACK: Final = -0.26


@dataclass(frozen=True, slots=True)
class Position:
    """A derived position.

    Lengths are in centimeters, rounded to a millimeter, and None without a measured crown-heel
    length; the `_percent` values are shares of crown-heel length and always there. `wording` is a
    phrase for a sentence: "124.7 cm above the heel, 43.3 cm below the top of the head and 14.2 cm
    right of the anterior midline".
    """

    height_above_heel_cm: float | None
    below_top_of_head_cm: float | None
    midline_offset_cm: float | None
    midline: Midline
    side: Side
    height_percent: float
    midline_offset_percent: float
    wording: str


def describe(
    body: str, point: Point3, crown_heel_cm: float | None, *, normal: Point3 | None = None
) -> Position:
    """Describe a surface point (thousandths of crown-heel length) of a body of measured length.

    `normal`, the outward normal from the Pick, decides between anterior and posterior midline; when
    absent that of the nearest surface is taken. Raises UnknownBody, and BodyGeometryError for a
    length outside 5 to 300 cm or a point that is no number.
    """
    body_model(body)
    if not all(math.isfinite(value) for value in point):
        raise BodyGeometryError("A surface point needs three finite numbers.")
    x, _, z = point
    facing = normal if normal is not None else _normal_near(body, point)
    midline: Midline = "posterior" if facing[1] < _FACES_BACK else "anterior"
    side = side_of(x)
    height = below = offset = None
    if crown_heel_cm is not None:
        if not SHORTEST_CM <= crown_heel_cm <= TALLEST_CM:
            raise BodyGeometryError("The crown-heel length must be between 5 and 300 cm.")
        height = round(z * crown_heel_cm / CROWN_HEEL, 1)
        # Taken from the rounded height, so that the two printed numbers add up to the length.
        below = round(crown_heel_cm - height, 1)
        offset = round(abs(x) * crown_heel_cm / CROWN_HEEL, 1)
    return Position(
        height_above_heel_cm=height,
        below_top_of_head_cm=below,
        midline_offset_cm=offset,
        midline=midline,
        side=side,
        height_percent=round(z / CROWN_HEEL * 100, 1),
        midline_offset_percent=round(abs(x) / CROWN_HEEL * 100, 1),
        wording=_wording(z, abs(x), height, below, offset, midline, side),
    )


def _wording(
    z: float,
    x: float,
    height: float | None,
    below: float | None,
    offset: float | None,
    midline: Midline,
    side: Side,
) -> str:
    if height is None or below is None or offset is None:
        vertical = f"at {z / CROWN_HEEL:.1%} of the crown-heel length above the heel".replace(
            "%", " %"
        )
        across = f"{x / CROWN_HEEL:.1%} of it {side} of the {midline} midline".replace("%", " %")
    else:
        vertical = f"{height:.1f} cm above the heel, {below:.1f} cm below the top of the head"
        across = f"{offset:.1f} cm {side} of the {midline} midline"
    if side == "midline":
        across = f"in the {midline} midline"
    return f"{vertical} and {across}"


@lru_cache(maxsize=8)
def _vertex_normals(body: str) -> Floats:
    sums = np.zeros((len(vertices(body)), 3))
    for corner in range(3):
        np.add.at(sums, topology().triangles[:, corner], triangle_normals(body))
    lengths = np.linalg.norm(sums, axis=1)
    return sums / np.where(lengths > 0, lengths, 1.0)[:, None]


def _normal_near(body: str, point: Point3) -> Point3:
    away = vertices(body) - np.array(point) * TENTHS
    normal = _vertex_normals(body)[int(np.argmin((away * away).sum(axis=1)))]
    return float(normal[0]), float(normal[1]), float(normal[2])
