"""Length, polyline, area with perimeter, and angle in the plane of a photograph's scale.

The answer to points picked in a photograph: each quantity with its standard uncertainty and its
interval (four or more known points) or its limits over the possible tilts (straight scale), how
well the scale's points fit one plane, what to be careful about, or why not.

Formula:
    straight scale: mm = px x true mm / px between the two ends
    plane: 3 x 3 homography from four or more known points (normalized direct linear
    transformation), then distances, shoelace area and angles in mm
    u = linear propagation of an equal, independent error of every picked coordinate and of the
    scale
    residual larger than the errors explain: u is multiplied by their ratio
    plane: interval = value -/+ 1.96 u
    straight scale: limits = the least and the greatest size over every tilt up to the stated one,
    each direction and each lens of the stated range, with the scale up to a stated height above or
    below what is measured (`straight_scale`), each end farther out by 1.96 u

Range:
    What is measured and the scale lie in one plane. Refused: no scale, a scale not in the plane,
    points in one line, a residual over four times what the errors explain, points far outside
    the scale, an outline that crosses itself; straight scale: limits that lie farther apart than
    4 to 1, or a view so flat that it has none.

Sources:
    - Hartley R, Zisserman A. Multiple View Geometry, chapter 4 (homography; from memory).
    - JCGM 100:2008 (GUM), section 5.1 (linear propagation; from memory).
    - Birge RT. Phys Rev 1932;40:207-227 (uncertainty times the ratio of residuals; from memory).

Cautions:
    - Curved skin is not a plane: a result holds near the scale only.
    - The lens is taken as free of distortion; keep scale and object off the picture's edge.
    - A straight scale's limits are no 95 % interval: they hold every tilt up to the stated one, and
      none beyond it.
    - What an interval covers and what it leaves out stands in `photo_assumptions`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from findings.calculations import photo_assumptions as assumed
from findings.calculations import plane_geometry as plane
from findings.calculations import straight_scale as straight
from findings.calculations.photo_kinds import POINTS_OF, QUANTITIES, STRAIGHT, Measure, path
from findings.calculations.photo_kinds import MeasureKind as MeasureKind
from findings.calculations.photo_plane import (
    DEFAULT_CLICK_PX,
    DEFAULT_REFERENCE_MM,
    TWO_SIDED_95,
    reference_refusal,
)
from findings.calculations.plane_geometry import Array

# 1.0 gave a straight scale an interval for tilts of 5 degrees: `photo_assumptions.withheld`.
NAME, VERSION = "photo_measurement", "2.0"
UNCERTAINTY = "95 %, 1.96 u, linear propagation"
# The limits below are this method's own choice; no publication was found that sets them.
DEFAULT_TILT_DEG = straight.MOST_TILT_DEG
DEFAULT_DEPTH_MM = 5.0
WARN_RESIDUAL, REFUSE_RESIDUAL = 2.5, 4.0  # times what the errors explain
WARN_OUTSIDE, REFUSE_OUTSIDE = 0.5, 2.0  # times the extent of the known points
WARN_AWAY, REFUSE_AWAY = 2.0, 6.0  # times the length of a straight scale, from its middle
EDGE = 0.75  # of the way from the picture's middle to its corner


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
    """Standard errors of a picked coordinate and of the scale, and what a straight scale bears.

    `tilt_deg` is the most that the camera may have been tilted, `depth_mm` how far the scale may
    lie above or below what is measured, `lens` the focal length over the picture's longer side.
    """

    click_px: float = DEFAULT_CLICK_PX
    scale_mm: float = DEFAULT_REFERENCE_MM
    tilt_deg: float = DEFAULT_TILT_DEG
    depth_mm: float = DEFAULT_DEPTH_MM
    lens: tuple[float, float] = straight.ANY_LENS


@dataclass(frozen=True)
class Quantity:
    """One measured quantity in its unit: value, standard uncertainty, interval or limits.

    By a straight scale the value is that of a view square on, and u leaves the tilt out.
    """

    name: str
    unit: str
    value: float
    u: float
    low: float
    high: float

    @property
    def most(self) -> float:
        """The largest value that there can be."""
        return 180.0 if self.unit == "deg" else math.inf


@dataclass(frozen=True)
class Answer:
    """Quantities, or the reason for a refusal; the residual (mm, rms) where there is one."""

    quantities: tuple[Quantity, ...] = ()
    refusal: str = ""
    warnings: tuple[str, ...] = ()
    residual_mm: float | None = None
    interval: str = UNCERTAINTY


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
    if scale.straight:
        return _by_straight(kind, scale, points, errors, picture_size)
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
        spread = _Spread(scale, transform, points, errors)
        quantities = _quantities(kind, spread, max(1.0, ratio))
    except np.linalg.LinAlgError:
        return Answer(refusal="the scale's points do not determine a plane")
    if not all(math.isfinite(each.value) and math.isfinite(each.u) for each in quantities):
        return Answer(refusal="the points do not determine a usable plane")
    warnings += _cautions(scale, ratio, points, errors, picture_size)
    return Answer(quantities, warnings=tuple(warnings), residual_mm=residual_mm)


def _by_straight(
    kind: MeasureKind, scale: Scale, points: Array, errors: Errors, size: tuple[int, int] | None
) -> Answer:
    """Measure as if seen square on, with limits over every tilt that was allowed for."""
    if size is None:
        return Answer(refusal=assumed.NO_PICTURE_SIZE)
    reason, warnings = _place_by_straight(scale, points, errors)
    if reason:
        return Answer(refusal=reason)
    ends = (scale.picture, plane.length(*scale.known))
    views = straight.Views(errors.tilt_deg, errors.depth_mm, errors.lens)
    spread = _Spread(scale, transform_of(scale.picture, scale.known), points, errors)
    found = []
    for quantity, (sizes, power) in zip(
        _quantities(kind, spread, 1.0), STRAIGHT[kind], strict=True
    ):
        bounds = straight.limits(sizes, power, ends, points, size, views)
        if bounds is None or bounds[1] > straight.WIDEST * bounds[0]:
            return Answer(refusal=assumed.TOO_WIDE.format(tilt=f"{errors.tilt_deg:g}"))
        low, high = straight.outward(bounds, quantity.value, TWO_SIDED_95 * quantity.u, power)
        found.append(replace(quantity, low=low, high=min(high, quantity.most)))
    warnings += _cautions(scale, 0.0, points, errors, size)
    interval = assumed.straight_interval(errors.tilt_deg)
    return Answer(tuple(found), warnings=tuple(warnings), interval=interval)


def _place_by_straight(scale: Scale, points: Array, errors: Errors) -> tuple[str, list[str]]:
    """How far the points lie from the scale; what a straight scale always has to say."""
    middle, span = scale.picture.mean(axis=0), plane.length(*scale.picture)
    away = float(np.hypot(*(points - middle).T).max()) / span
    if away > REFUSE_AWAY:
        return f"too far from the scale: more than {REFUSE_AWAY:g} of its lengths away", []
    far = ["far from the scale: the view may differ there"] if away > WARN_AWAY else []
    return "", [assumed.STRAIGHT_WARNING.format(tilt=f"{errors.tilt_deg:g}"), *far]


def transform_of(picture: Array, known: Array) -> Array:
    """The transform from picture to plane: a homography, or two points' equal scaling.

    Of many pictures and planes (k, n, 2) it is one a pair (k, 3, 3).
    """
    if picture.shape[-2] == 2:
        real, seen = (points[..., 1, :] - points[..., 0, :] for points in (known, picture))
        factor = np.hypot(real[..., 0], real[..., 1]) / np.hypot(seen[..., 0], seen[..., 1])
        transform = np.zeros((*factor.shape, 3, 3))
        transform[..., 0, 0] = transform[..., 1, 1] = factor
        transform[..., 2, 2] = 1
        return transform
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
    if path(points) == 0:
        return "all points are the same"
    if kind is MeasureKind.AREA and plane.crosses_itself(points):
        return "the outline crosses itself"
    return ""


def _place(scale: Scale, transform: Array, points: Array) -> tuple[str, list[str]]:
    """Where the points lie against the scale: beyond the horizon, far outside, or outside."""
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

    def of_points(self, function: Measure) -> float:
        """From picking the object's points."""

        def measured(rows: Array) -> list[float]:
            placed = plane.mapped(self.transform, rows.reshape(len(rows), -1, 2))
            return [function(each) for each in placed]

        errors = np.full(self.points.size, self.errors.click_px)
        return plane.propagated(measured, self.points.ravel(), errors)

    def of_scale(self, function: Measure) -> float:
        """From the scale: picked and made."""
        n = self.scale.picture.size
        known, own = self._known()

        def measured(rows: Array) -> list[float]:
            pictures = rows[:, :n].reshape(len(rows), -1, 2)
            return [function(each) for each in self._placed(pictures, rows[:, n:])]

        readings = np.concatenate([self.scale.picture.ravel(), known])
        errors = np.concatenate([np.full(n, self.errors.click_px), own])
        return plane.propagated(measured, readings, errors)

    def _known(self) -> tuple[Array, Array]:
        """What the scale's places are known by, and their errors; of a straight one its length."""
        if self.scale.straight:
            return np.array([plane.length(*self.scale.known)]), np.array([self.errors.scale_mm])
        known = self.scale.known.ravel()
        return known, np.full(known.size, self.errors.scale_mm)

    def _placed(self, pictures: Array, known: Array) -> Array:
        """The points on the plane, as each of these readings of the scale would have it."""
        if self.scale.straight:
            known = np.column_stack([np.zeros((len(known), 2)), known, np.zeros(len(known))])
        places = known.reshape(len(known), -1, 2)
        return plane.mapped(transform_of(pictures, places), self.points)


def _quantities(kind: MeasureKind, spread: _Spread, widened: float) -> tuple[Quantity, ...]:
    found = []
    for name, unit, function in QUANTITIES[kind]:
        value = function(plane.mapped(spread.transform, spread.points))
        u = widened * math.hypot(spread.of_points(function), spread.of_scale(function))
        low, high = max(value - TWO_SIDED_95 * u, 0.0), value + TWO_SIDED_95 * u
        quantity = Quantity(name, unit, value, u, low, high)
        found.append(replace(quantity, high=min(high, quantity.most)))
    return tuple(found)
