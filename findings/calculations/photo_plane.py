"""Measuring in the plane of a photograph's scale, with uncertainty.

Inputs are those of `photo_scale` with lists of points: pixels of four or more reference points,
their places on the plane in millimeters, and pixels of the object. Uncertainties are standard
ones (1 SD), by linear propagation of the errors of all clicks and of the reference.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations
from typing import TypeAlias

import numpy as np

from findings.calculations import plane_geometry as plane
from findings.calculations.arrays import floats
from findings.calculations.fields import BadInput, Inputs
from findings.calculations.plane_geometry import Array
from findings.calculations.result import Interval, Outcome, Plain, refusal

DEFAULT_CLICK_PX = 1.0  # common practice: one pixel, 1 standard deviation, each coordinate
DEFAULT_REFERENCE_MM = 0.1  # graduation accuracy in a public specification of the L-shaped scale
TILT_WARNING_PERCENT = 2.0  # common practice
MOST_REFERENCE_POINTS, MOST_OBJECT_POINTS = 30, 200
TWO_SIDED_95 = 1.96
FIRST_TWO = "first_two_object_points_are_the_length"


def with_uncertainty(value: float, u: float) -> Interval:
    """The 95 % interval of a value that cannot be negative, from its standard uncertainty."""
    spread = TWO_SIDED_95 * u
    return Interval(max(value - spread, 0.0), value + spread, "95 %, 1.96 u, linear propagation")


def reference_refusal(picture: Array, known: Array) -> str | None:
    """Why the points (n, 2) in px and mm determine no plane, or None."""
    if len(picture) < 4:
        return "fewer than four reference points: a plane needs four, no three in line"
    if len(picture) == 4:
        if plane.has_three_in_line(picture) or plane.has_three_in_line(known):
            return "three of the four reference points lie in one line"
        return None
    # With more points some may be in line; four of them in general position are enough.
    for points in (picture, known):
        if plane.in_line(points):
            return "the reference points lie in one line"
        apart = np.unique(points, axis=0)
        if len(apart) < 4 or any(
            plane.in_line(np.delete(apart, left_out, axis=0)) for left_out in range(len(apart))
        ):
            return "all reference points but one lie in one line"
    return None


def pairs(numbers: Array) -> Array:
    """Readings in one row (or any shape) as points (n, 2)."""
    return numbers.reshape(-1, 2)


Measure: TypeAlias = "Callable[[Array, Array], float]"


def _measures(inputs: Inputs, count: int) -> dict[str, Measure]:
    """What can be measured in the plane, as functions of transform and object points."""
    found: dict[str, Measure] = {}

    def first_length(transform: Array, points: Array) -> float:
        first, second = plane.mapped(transform, points[:2])
        return plane.length(first, second)

    def area(transform: Array, points: Array) -> float:
        return plane.polygon_area(plane.mapped(transform, points))

    def second_angle(transform: Array, points: Array) -> float:
        a, corner, b = plane.mapped(transform, points[:3])
        return plane.angle_deg(a, corner, b)

    if count >= 2 and inputs.flag(FIRST_TWO, True):
        found["length_mm"] = first_length
    if count >= 3:
        found["area_mm2"] = area
        found["angle_at_second_deg"] = second_angle
    return found


def _uncertainty(measure: Measure, picture: Array, known: Array, points: Array,
                 click: float, scale_mm: float) -> float:  # fmt: skip
    """Standard uncertainty from errors of all clicks and of the known points."""
    n, k = picture.size, known.size

    def measured(rows: Array) -> list[float]:
        pictures, places, objects = (
            part.reshape(len(rows), -1, 2) for part in np.split(rows, [n, n + k], axis=1)
        )
        transforms = plane.homography(pictures, places)
        return [measure(*each) for each in zip(transforms, objects, strict=True)]

    readings = np.concatenate([picture.ravel(), known.ravel(), points.ravel()])
    errors = np.concatenate([np.full(n, click), np.full(k, scale_mm), np.full(points.size, click)])
    return plane.propagated(measured, readings, errors)


def _planar_warnings(transform: Array, picture: Array, known: Array, points: Array) -> list[str]:
    found = []
    scales = [
        plane.length(picture[i], picture[j]) / plane.length(known[i], known[j])
        for i, j in combinations(range(len(picture)), 2)
        if plane.length(known[i], known[j]) > 0
    ]
    change = 100 * (max(scales) / max(min(scales), 1e-12) - 1)
    if change > TILT_WARNING_PERCENT:
        found.append(
            f"tilted view: the scale changes by {change:.0f} % within the reference, so a "
            "straight scale would be wrong"
        )
    low, high = picture.min(axis=0), picture.max(axis=0)
    margin = (high - low) / 2
    if bool(np.any(points < low - margin)) or bool(np.any(points > high + margin)):
        found.append("object far outside the reference points: the error grows quickly there")
    miss = plane.mapped(transform, picture) - known
    rms = float(np.sqrt((miss**2).sum(axis=1).mean()))
    if rms > 1.0:
        found.append(f"reference points do not fit one plane: they miss by {rms:.1f} mm (rms)")
    return found


def planar(inputs: Inputs) -> Outcome:
    """Length, area and angle in the plane of the reference points."""
    arrays = []
    for name, most in (
        ("reference_px", MOST_REFERENCE_POINTS),
        ("reference_mm", MOST_REFERENCE_POINTS),
        ("object_px", MOST_OBJECT_POINTS),
    ):
        value = inputs.raw(name)
        if len(value) > most:
            raise BadInput(name, f"must not have more than {most} points")
        arrays.append(pairs(floats(value)))
    picture, known, points = arrays
    if len(picture) != len(known):
        raise BadInput("reference_mm", "must have as many points as reference_px")
    fewest = "two" if inputs.flag(FIRST_TWO, True) else "three"
    if len(points) < {"two": 2, "three": 3}[fewest]:
        raise BadInput("object_px", f"must have at least {fewest} points")
    nothing: dict[str, Plain] = {"length_mm": None, "area_mm2": None}
    reason = reference_refusal(picture, known)
    if reason:
        return refusal(reason, fields=nothing)
    try:
        transform = plane.homography(picture, known)
    except np.linalg.LinAlgError:
        return refusal("the reference points do not determine a plane", fields=nothing)
    depth = plane.depths(transform, np.vstack([picture, points]))
    if not np.all(np.isfinite(depth)) or depth.min() * depth.max() <= 0:
        return refusal("a point lies beyond the horizon of the measured plane", fields=nothing)
    if plane.crosses_itself(points):
        return refusal("the outline of the object crosses itself", fields=nothing)
    return _measured_in_plane(inputs, transform, (picture, known, points))


def _measured_in_plane(
    inputs: Inputs, transform: Array, arrays: tuple[Array, Array, Array]
) -> Outcome:
    picture, known, points = arrays
    click = inputs.number("click_error_px", DEFAULT_CLICK_PX)
    scale_mm = inputs.number("reference_error_mm", DEFAULT_REFERENCE_MM)
    fields: dict[str, Plain] = {}
    sizes: dict[str, tuple[float, float]] = {}
    warnings = _planar_warnings(transform, picture, known, points)
    for name, measure in _measures(inputs, len(points)).items():
        value = measure(transform, points)
        u = _uncertainty(measure, picture, known, points, click, scale_mm)
        if not (math.isfinite(value) and math.isfinite(u)):
            return refusal("the points do not determine a usable plane")
        fields[name], fields[f"u_{name}"] = sizes[name] = value, u
    headline, (found, spread) = next(iter(sizes.items()))
    if headline == "length_mm" and found > 0:
        side = plane.length(known[0], known[1]) / plane.length(picture[0], picture[1])
        straight = plane.length(points[0], points[1]) * side
        fields["length_from_first_reference_side_only_mm"] = straight
        fields["error_of_that_percent"] = 100 * (straight - found) / found
    return Outcome(
        fields=fields,
        value=found,
        unit="mm" if headline == "length_mm" else "mm2",
        interval=with_uncertainty(found, spread),
        warnings=tuple(warnings),
    )
