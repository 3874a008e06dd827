"""Lengths, areas and angles out of a photograph with a scale.

With a straight scale: one known length turns pixels into millimeters. With four or more known
points of a plane: a homography corrects the perspective, and lengths, areas and angles in that
plane come out true. Every result carries a standard uncertainty.

Formula:
    straight scale: length = pixels x reference mm / reference pixels
    tilt: a length along the tilt shrinks by cos(theta); shortening = 1 - cos(theta)
    straight scale, camera tilted by up to T: the scale or the object may be the one that is
    shortened, so limits = (length - 1.96 u) cos(T) to (length + 1.96 u) / cos(T); areas likewise
    area = shoelace sum in pixels / (pixels per mm)^2
    plane: 3 x 3 homography by the normalized direct linear transformation, then lengths, shoelace
    areas and angles in mm
    standard uncertainty: linear propagation of an equal error of each clicked coordinate (of the
    object and of the reference) and of the reference's own error, derivatives by differences

Range:
    Object and scale in one plane, lens distortion corrected or negligible. Four reference points
    or more, no three in line. Refused: reference without length, points in line, outlines that
    cross themselves, object points beyond the horizon of the plane.

Sources:
    - Hartley R, Zisserman A. Multiple View Geometry, chapter 4 (homography; from memory).
    - JCGM 100:2008 (GUM), section 5.1 (linear propagation; from memory).
    - Hyzer WG, Krauss TC. J Forensic Sci 1988;33:498-506 (the L-shaped scale; from memory).
    - Ferrucci M et al. J Forensic Sci 2016;61:509-519 (real scales; abstract seen).

Cautions:
    - A scale that is tilted against the object or lies in another plane cannot be repaired by any
      of this.
    - Curved skin is not a plane: a result holds only near the scale.
    - In a review of four makers the lengths of scales held, but circles and right angles often did
      not: use graduations rather than circles and corners.
    - The uncertainty covers clicking and the scale, not the skin's curve, the lens or the posture.
    - A straight scale's limits are no 95 % interval. They hold a tilt up to the stated one, for a
      scale right beside the object: where nearer parts look larger is not known from lengths alone.
"""

from __future__ import annotations

import math

import numpy as np

from findings.calculations import plane_geometry as plane
from findings.calculations.arrays import floats
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.photo_assumptions import STRAIGHT_WARNING
from findings.calculations.photo_plane import (
    DEFAULT_CLICK_PX,
    DEFAULT_REFERENCE_MM,
    MOST_OBJECT_POINTS,
    TWO_SIDED_95,
    pairs,
    planar,
)
from findings.calculations.result import Interval, Outcome, refusal
from findings.calculations.straight_scale import MOST_TILT_DEG

# Common practice: nobody measures in a picture that is seen more slantingly than this.
DEFAULT_TILT_DEG = MOST_TILT_DEG
SMALLEST_PX_PER_MM = 0.001  # one pixel a meter: no photograph of an injury is taken like that


def straight_length(
    object_px: float, reference_px: float, reference_mm: float, click_px: float, scale_mm: float
) -> tuple[float, float]:
    """Length in mm and its standard uncertainty, both lengths clicked at two ends."""
    length_mm = object_px * reference_mm / reference_px
    u_px = click_px * math.sqrt(2)
    u = math.hypot(
        u_px * reference_mm / reference_px,
        u_px * length_mm / reference_px,
        scale_mm * object_px / reference_px,
    )
    return length_mm, u


def _limits(inputs: Inputs, value: float, u: float) -> Interval:
    """The limits of a value by straight scale: either may be the one that the tilt shortens."""
    tilt = inputs.number("tilt_up_to_deg", DEFAULT_TILT_DEG)
    beyond, cosine = TWO_SIDED_95 * u, math.cos(math.radians(tilt))
    meaning = f"limits, not 95 %: a tilt of up to {tilt:g} degrees, scale right beside the object"
    return Interval(max(value - beyond, 0.0) * cosine, (value + beyond) / cosine, meaning)


def _square_on(inputs: Inputs) -> str:
    tilt = inputs.number("tilt_up_to_deg", DEFAULT_TILT_DEG)
    return STRAIGHT_WARNING.format(tilt=f"{tilt:g}")


def _straight(inputs: Inputs) -> Outcome:
    object_px, reference_px, reference_mm = (
        inputs.raw(name) for name in ("object_px", "reference_px", "reference_mm")
    )
    for name in ("object_px", "reference_px", "reference_mm"):
        if inputs.raw(name) < 0:
            raise BadInput(name, "must not be negative")
    if reference_px == 0:
        return refusal("the reference has no length in pixels", fields={"length_mm": None})
    if reference_mm == 0:
        return refusal("the reference has no length in mm", fields={"length_mm": None})
    length_mm, u = straight_length(
        object_px,
        reference_px,
        reference_mm,
        inputs.number("click_error_px", DEFAULT_CLICK_PX),
        inputs.number("reference_error_mm", DEFAULT_REFERENCE_MM),
    )
    return Outcome(
        fields={
            "length_mm": length_mm,
            "px_per_mm": reference_px / reference_mm,
            "u_length_mm": u,
        },
        value=length_mm,
        unit="mm",
        interval=_limits(inputs, length_mm, u),
        warnings=(_square_on(inputs),),
    )


def _tilt(inputs: Inputs) -> Outcome:
    cosine = math.cos(math.radians(inputs.number("tilt_deg")))
    return Outcome(
        fields={"cos": cosine, "apparent_shortening_percent": 100 * (1 - cosine)},
        value=100 * (1 - cosine),
        unit="%",
        warnings=("for a distant camera and a length along the tilt",),
    )


def _polygon(inputs: Inputs) -> Outcome:
    points = pairs(floats(inputs.raw("polygon_px")))
    if not 3 <= len(points) <= MOST_OBJECT_POINTS:
        raise BadInput("polygon_px", f"must have 3 to {MOST_OBJECT_POINTS} points")
    if plane.crosses_itself(points):
        return refusal("the outline crosses itself", fields={"area_mm2": None})
    scale = inputs.number("px_per_mm")
    if scale < SMALLEST_PX_PER_MM:
        return refusal("the scale has no pixels per mm", fields={"area_mm2": None})
    area = plane.polygon_area(points) / scale**2
    click = inputs.number("click_error_px", DEFAULT_CLICK_PX)
    # Derivative of the shoelace sum by a corner: half the vector between its two neighbors.
    across = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    u = click * float(np.sqrt((across**2).sum())) / 2 / scale**2
    return Outcome(
        fields={"area_mm2": area, "u_area_mm2": u},
        value=area,
        unit="mm2",
        interval=_limits(inputs, area, u),
        warnings=(_square_on(inputs),),
    )


def compute(inputs: Inputs) -> Outcome:
    """The measurement that the given fields ask for."""
    ways = {
        "tilt_deg": _tilt,
        "polygon_px": _polygon,
        "object_px": planar if isinstance(inputs.values.get("object_px"), list) else _straight,
    }
    given = [name for name in ways if inputs.has(name)]
    if len(given) != 1:
        message = "is required, or polygon_px, or tilt_deg"
        if given:
            message = "give only one of: " + ", ".join(given)
        raise BadInput(given[-1] if given else "object_px", message)
    if given[0] == "object_px":
        kinds = {
            isinstance(inputs.raw(name), list)
            for name in ("object_px", "reference_px", "reference_mm")
        }
        if len(kinds) > 1:
            raise BadInput("reference_px", "give three lengths, or three lists of points")
    return ways[given[0]](inputs)


_FAR = 1_000_000.0
METHOD = define(
    __doc__,
    name="photo_scale",
    other_names=("photo_measure",),
    title="Measurement in a photograph",
    version="2.0",
    fields=(
        Field(
            "object_px",
            Kind.NUMBER_OR_POINTS,
            "Length of the object, or its points in the picture.",
            "px",
            minimum=-_FAR,
            maximum=_FAR,
        ),
        Field(
            "reference_px",
            Kind.NUMBER_OR_POINTS,
            "Length of the reference, or its points in the picture.",
            "px",
            minimum=-_FAR,
            maximum=_FAR,
        ),
        Field(
            "reference_mm",
            Kind.NUMBER_OR_POINTS,
            "Known length of the reference, or its points on the plane.",
            "mm",
            minimum=-_FAR,
            maximum=_FAR,
        ),
        Field(
            "first_two_object_points_are_the_length",
            Kind.FLAG,
            "Whether the first two object points are the length to measure; true if not given.",
        ),
        Field(
            "polygon_px",
            Kind.POINTS,
            "Outline in the picture, for an area by straight scale.",
            "px",
            minimum=-_FAR,
            maximum=_FAR,
        ),
        Field(
            "px_per_mm",
            Kind.NUMBER,
            "Straight scale for the outline.",
            "px/mm",
            minimum=0,
            maximum=100_000,
        ),
        Field(
            "tilt_deg",
            Kind.NUMBER,
            "Tilt of the camera, to see the shortening.",
            "deg",
            minimum=0,
            maximum=90,
        ),
        Field(
            "tilt_up_to_deg",
            Kind.NUMBER,
            "Straight scale: the most that the camera may have been tilted; 50 if not given.",
            "deg",
            minimum=0,
            maximum=80,
        ),
        Field(
            "click_error_px",
            Kind.NUMBER,
            "Error of each clicked coordinate, 1 standard deviation; 1 if not given.",
            "px",
            minimum=0,
            maximum=1000,
        ),
        Field(
            "reference_error_mm",
            Kind.NUMBER,
            "Error of the reference, 1 standard deviation; 0.1 if not given.",
            "mm",
            minimum=0,
            maximum=1000,
        ),
    ),
    result_fields=(
        ResultField("length_mm", "mm", "Length of the object."),
        ResultField("u_length_mm", "mm", "Its standard uncertainty."),
        ResultField("px_per_mm", "px/mm", "Straight scale."),
        ResultField("area_mm2", "mm2", "Area inside the outline."),
        ResultField("u_area_mm2", "mm2", "Its standard uncertainty."),
        ResultField("angle_at_second_deg", "deg", "Angle at the second object point."),
        ResultField("u_angle_at_second_deg", "deg", "Its standard uncertainty."),
        ResultField(
            "length_from_first_reference_side_only_mm",
            "mm",
            "What a straight scale along the first reference side would give.",
        ),
        ResultField("error_of_that_percent", "%", "How far off that would be."),
        ResultField("cos", "", "Cosine of the tilt."),
        ResultField("apparent_shortening_percent", "%", "Shortening along the tilt."),
    ),
    example={"object_px": 412.0, "reference_px": 1000.0, "reference_mm": 50.0},
    compute=compute,
)
