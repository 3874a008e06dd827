"""Length, polyline, area with perimeter, and angle in the plane of a photograph's scale.

The answer to points picked in a photograph: each quantity with its standard uncertainty and 95 %
interval, how well the scale's points fit one plane, what to be careful about, or why not.

Formula:
    straight scale: mm = px x true mm / px between the two ends
    plane: 3 x 3 homography from four or more known points (normalised direct linear
    transformation), then distances, shoelace area and angles in mm
    u = linear propagation of an equal, independent error of every picked coordinate and of the
    scale; straight scale: also of an unseen tilt t, as a stretch of (1 - cos t) along each axis
    and a change of scale of sin t / D for each mm away from the scale's middle, both rectangular
    (divided by sqrt 3); D is the camera's distance, taken as 1.5 times the picture's longer side
    residual larger than the errors explain: u is multiplied by their ratio
    interval = value -/+ 1.96 u

Range:
    What is measured and the scale lie in one plane. Refused: no scale, a scale not in the plane,
    points in one line, a residual over four times what the errors explain, points far outside
    the scale, an outline that crosses itself.

Sources:
    - Hartley R, Zisserman A. Multiple View Geometry, chapter 4 (homography; from memory).
    - JCGM 100:2008 (GUM), sections 4.3.7 and 5.1 (rectangular, linear propagation; from memory).
    - Birge RT. Phys Rev 1932;40:207-227 (uncertainty times the ratio of residuals; from memory).

Cautions:
    - Curved skin is not a plane: a result holds near the scale only.
    - The lens is taken as free of distortion; keep scale and object off the picture's edge.
    - The uncertainty covers picking, the scale and the residual, not swelling, posture or where
      an edge is said to be.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np

from findings.calculations import plane_geometry as plane
from findings.calculations.photo_plane import (
    DEFAULT_CLICK_PX,
    DEFAULT_REFERENCE_MM,
    MOST_OBJECT_POINTS,
    TWO_SIDED_95,
    reference_refusal,
)
from findings.calculations.plane_geometry import Array

NAME, VERSION = "photo_measurement", "1.0"
UNCERTAINTY = "95 %, 1.96 u, linear propagation"
# The limits below are this method's own choice; no publication was found that sets them.
DEFAULT_TILT_DEG = 5.0
WARN_RESIDUAL, REFUSE_RESIDUAL = 2.5, 4.0  # times what the errors explain
WARN_OUTSIDE, REFUSE_OUTSIDE = 0.5, 2.0  # times the extent of the known points
WARN_AWAY, REFUSE_AWAY = 2.0, 6.0  # times the length of a straight scale, from its middle
# Distance over the longer side that is seen: a lens of 50 to 60 mm on a 36 mm sensor (common
# practice for close-ups). A telephone held closer changes its scale faster.
DISTANCE = 1.5
EDGE = 0.75  # of the way from the picture's middle to its corner


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


@dataclass(frozen=True)
class Scale:
    """The scale: picked points (n, 2) in px and their places (n, 2) in mm on its plane.

    Two points with places (0, 0) and (true mm, 0) are a straight scale.
    """

    picture: Array
    known: Array

    @property
    def straight(self) -> bool:
        """Whether it is a straight scale, which cannot correct a tilted camera."""
        return len(self.picture) == 2


@dataclass(frozen=True)
class Errors:
    """Standard errors of a picked coordinate and of the scale; the most a straight view tilts."""

    click_px: float = DEFAULT_CLICK_PX
    scale_mm: float = DEFAULT_REFERENCE_MM
    tilt_deg: float = DEFAULT_TILT_DEG


@dataclass(frozen=True)
class Quantity:
    """One measured quantity: value, standard uncertainty and 95 % interval, in its unit."""

    name: str
    unit: str
    value: float
    u: float
    low: float
    high: float


@dataclass(frozen=True)
class Answer:
    """Quantities, or the reason for a refusal; the residual (mm, rms) where there is one."""

    quantities: tuple[Quantity, ...] = ()
    refusal: str = ""
    warnings: tuple[str, ...] = ()
    residual_mm: float | None = None


Measure: TypeAlias = "Callable[[Array], float]"


def _path(points: Array) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _around(points: Array) -> float:
    return _path(np.vstack([points, points[:1]]))


def _angle(points: Array) -> float:
    return plane.angle_deg(points[0], points[1], points[2])


# kind: what is computed from the points on the plane, with its unit
QUANTITIES: dict[MeasureKind, tuple[tuple[str, str, Measure], ...]] = {
    MeasureKind.LENGTH: (("length", "mm", _path),),
    MeasureKind.POLYLINE: (("length", "mm", _path),),
    MeasureKind.AREA: (("area", "mm2", plane.polygon_area), ("perimeter", "mm", _around)),
    MeasureKind.ANGLE: (("angle", "deg", _angle),),
}


def measure(
    kind: MeasureKind,
    scale: Scale | None,
    points: Array,
    *,
    errors: Errors | None = None,
    scale_in_plane: bool = True,
    picture_size: tuple[int, int] | None = None,
) -> Answer:
    """Measure picked points (n, 2), in px, in the plane of the scale.

    `scale_in_plane` is what the person says of the scale; `picture_size` (width, height) lets a
    point near the picture's edge be warned about. Never raises for unlucky points: refuses.
    """
    errors = errors or Errors()
    reason = _scale_refusal(scale, in_plane=scale_in_plane) or _points_refusal(kind, points)
    if reason or scale is None:
        return Answer(refusal=reason)
    try:
        transform = transform_of(scale.picture, scale.known)
        reason, warnings = _place(scale, transform, points)
    except np.linalg.LinAlgError:
        return Answer(refusal="the scale's points do not determine a plane")
    if reason:
        return Answer(refusal=reason)
    residual_mm, ratio = _residual(scale, transform, errors)
    if ratio > REFUSE_RESIDUAL:
        return Answer(
            refusal=f"the scale's points do not fit one plane: they miss by {residual_mm:.1f} mm "
            "(rms). Pick them again, or leave out the one that is wrong",
            residual_mm=residual_mm,
        )
    try:
        seen_px = max(picture_size) if picture_size else _extent(scale.picture, points)
        spread = _Spread(scale, transform, points, errors, seen_px)
        quantities = _quantities(kind, spread, max(1.0, ratio))
    except np.linalg.LinAlgError:
        return Answer(refusal="the scale's points do not determine a plane")
    if not all(math.isfinite(each.value) and math.isfinite(each.u) for each in quantities):
        return Answer(refusal="the points do not determine a usable plane")
    warnings += _cautions(scale, ratio, points, errors, picture_size)
    return Answer(quantities, warnings=tuple(warnings), residual_mm=residual_mm)


def transform_of(picture: Array, known: Array) -> Array:
    """The transform from picture to plane: a homography, or two points' equal scaling."""
    if len(picture) == 2:
        factor = plane.length(known[0], known[1]) / plane.length(picture[0], picture[1])
        return np.diag([factor, factor, 1.0])
    return plane.homography(picture, known)


def _scale_refusal(scale: Scale | None, *, in_plane: bool) -> str:
    if scale is None or len(scale.picture) < 2:
        return "no scale: pick the scale's points first"
    if not in_plane:
        return "the scale does not lie in the plane of what is measured: no size can be given"
    if not scale.straight:
        return reference_refusal(scale.picture, scale.known) or ""
    if plane.length(*scale.picture) < 1 or plane.length(*scale.known) == 0:
        return "no scale: its two ends are the same point"
    return ""


def _points_refusal(kind: MeasureKind, points: Array) -> str:
    fewest, most = POINTS_OF[kind]
    if not fewest <= len(points) <= most:
        words = f"{fewest}" if fewest == most else f"{fewest} to {most}"
        return f"pick {words} points of what is measured"
    if kind is MeasureKind.ANGLE and (
        plane.length(points[0], points[1]) == 0 or plane.length(points[1], points[2]) == 0
    ):
        return "an angle needs two legs: two of its points are the same"
    if _path(points) == 0:
        return "all points are the same"
    if kind is MeasureKind.AREA and len(points) > 3 and plane.crosses_itself(points):
        return "the outline crosses itself"
    return ""


def _place(scale: Scale, transform: Array, points: Array) -> tuple[str, list[str]]:
    """Where the points lie against the scale: beyond the horizon, far outside, or outside."""
    if scale.straight:
        middle, span = scale.picture.mean(axis=0), plane.length(*scale.picture)
        away = float(np.hypot(*(points - middle).T).max()) / span
        if away > REFUSE_AWAY:
            return f"too far from the scale: more than {REFUSE_AWAY:g} of its lengths away", []
        far = ["far from the scale: the view may differ there"] if away > WARN_AWAY else []
        return "", [
            "straight scale: true only if the camera looked square on, at scale and object",
            *far,
        ]
    depth = plane.depths(transform, np.vstack([scale.picture, points]))
    if not np.all(np.isfinite(depth)) or depth.min() * depth.max() <= 0:
        return "a point lies beyond the horizon of the scale's plane", []
    low, high = scale.known.min(axis=0), scale.known.max(axis=0)
    on_plane = plane.mapped(transform, points)
    outside = float(np.maximum(low - on_plane, on_plane - high).max() / (high - low).max())
    if outside > REFUSE_OUTSIDE:
        return "far outside the scale: the plane cannot be carried on that far", []
    if outside > WARN_OUTSIDE:
        return "", ["outside the scale's points: the error grows quickly there"]
    return "", []


def _residual(scale: Scale, transform: Array, errors: Errors) -> tuple[float | None, float]:
    """How far the scale's points miss (mm, rms), and that over what the errors explain."""
    count = len(scale.picture)
    if count <= 4:
        return None, 0.0
    miss = plane.mapped(transform, scale.picture) - scale.known
    rms = float(np.sqrt((miss**2).sum(axis=1).mean()))
    mm_per_px = _span(scale.known) / _span(scale.picture)
    one = math.hypot(errors.click_px * mm_per_px, errors.scale_mm)
    # 2 n readings, 8 of them used up by the homography.
    explained = one * math.sqrt(2 * (2 * count - 8) / (2 * count))
    return rms, rms / explained if explained > 0 else (0.0 if rms < 1e-6 else math.inf)


def _span(points: Array) -> float:
    return float(np.hypot(*(points - points.mean(axis=0)).T).mean())


def _cautions(
    scale: Scale,
    ratio: float,
    points: Array,
    errors: Errors,
    size: tuple[int, int] | None,
) -> list[str]:
    found = []
    if len(scale.picture) == 4:
        found.append("four points always fit: pick a fifth to check the scale")
    if ratio > WARN_RESIDUAL:
        found.append("the scale's points fit one plane badly: look at them again")
    steps = np.hypot(*np.diff(points, axis=0).T)
    if len(points) > 3 and float(steps.min()) < 10 * errors.click_px:
        found.append("points very close together: picking errors make a line longer")
    if size is not None:
        middle = np.array(size, float) / 2
        reach = np.hypot(*(np.vstack([scale.picture, points]) - middle).T).max()
        if float(reach) > EDGE * float(np.hypot(*middle)):
            found.append("near the picture's edge: the lens may distort there")
    return found


@dataclass(frozen=True)
class _Spread:
    """What the uncertainty of every quantity is made from."""

    scale: Scale
    transform: Array
    points: Array
    errors: Errors
    seen_px: float

    def of_points(self, function: Measure) -> float:
        """From picking the object's points."""

        def measured(readings: Array) -> float:
            return function(plane.mapped(self.transform, readings.reshape(-1, 2)))

        errors = np.full(self.points.size, self.errors.click_px)
        return plane.propagated(measured, self.points.ravel(), errors)

    def of_scale(self, function: Measure) -> float:
        """From the scale: picked, made, and (straight) the tilt that it cannot show."""
        n = self.scale.picture.size
        known, own = self._straight() if self.scale.straight else self._known()

        def measured(readings: Array) -> float:
            return function(self._placed(readings[:n].reshape(-1, 2), readings[n:]))

        readings = np.concatenate([self.scale.picture.ravel(), known])
        errors = np.concatenate([np.full(n, self.errors.click_px), own])
        return plane.propagated(measured, readings, errors)

    def _known(self) -> tuple[Array, Array]:
        known = self.scale.known.ravel()
        return known, np.full(known.size, self.errors.scale_mm)

    def _straight(self) -> tuple[Array, Array]:
        """True length, stretch along x and y, change of scale along x and y; their errors."""
        true_mm = plane.length(*self.scale.known)
        tilt = math.radians(self.errors.tilt_deg)
        away_mm = DISTANCE * self.seen_px * true_mm / plane.length(*self.scale.picture)
        stretch = (1 - math.cos(tilt)) / math.sqrt(3)
        change = math.sin(tilt) / away_mm / math.sqrt(3)
        own = np.array([self.errors.scale_mm, stretch, stretch, change, change])
        return np.array([true_mm, 0.0, 0.0, 0.0, 0.0]), own

    def _placed(self, picture: Array, known: Array) -> Array:
        """The points on the plane, as these readings of the scale would have it."""
        if not self.scale.straight:
            return plane.mapped(transform_of(picture, known.reshape(-1, 2)), self.points)
        transform = transform_of(picture, np.array([[0.0, 0.0], [known[0], 0.0]]))
        from_middle = plane.mapped(transform, self.points - picture.mean(axis=0))
        depth = 1 + from_middle @ known[3:]
        return np.asarray(from_middle * (1 + known[1:3]) * depth[:, None], float)


def _extent(picture: Array, points: Array) -> float:
    both = np.vstack([picture, points])
    return float((both.max(axis=0) - both.min(axis=0)).max())


def _quantities(kind: MeasureKind, spread: _Spread, widened: float) -> tuple[Quantity, ...]:
    found = []
    for name, unit, function in QUANTITIES[kind]:
        value = function(plane.mapped(spread.transform, spread.points))
        u = widened * math.hypot(spread.of_points(function), spread.of_scale(function))
        low, high = max(value - TWO_SIDED_95 * u, 0.0), value + TWO_SIDED_95 * u
        high = min(high, 180.0) if unit == "deg" else high
        found.append(Quantity(name, unit, value, u, low, high))
    return tuple(found)
