"""Direction and angles of a straight wound path through the body.

From entrance and end of the path, measured on the body in the anatomical position: the direction
in words, the length, and the angles in three planes, with their uncertainty from the measuring
error.

Formula:
    d = end - entrance; x grows to the decedent's left, y to the front, z upward
    length = |d|
    elevation from the horizontal plane = atan2(|dz|, sqrt(dx^2 + dy^2))
    azimuth from the sagittal plane     = atan2(|dx|, |dy|)
    side view = atan2(|dz|, |dy|)       front view = atan2(|dz|, |dx|)
    standard uncertainty by linear propagation of an equal error s of each coordinate:
    u(length) = s sqrt(2);  u(angle) = s sqrt(2) / length seen in that plane (radians)

Range:
    Body in the anatomical position, straight path, end of path = exit, place of recovery or end
    of the track. A part of less than 0.5 cm is not put into words (a convention). An uncertainty
    is given while the path in that plane is at least three times its error.

Sources:
    - Vector geometry (own computation).
    - The three axes and the decedent's own right and left: textbook practice, DiMaio VJM, Gunshot
      Wounds (chapter on the autopsy report; an excerpt seen).
    - Linear propagation: JCGM 100:2008 (GUM), section 5.1 (from memory).

Cautions:
    - Right and left are the decedent's, never the viewer's.
    - The direction is relative to the body, not to the room; the posture at the moment of injury
      is unknown.
    - Skin moves, organs collapse, a track may bend at bone: report words or whole degrees only.
    - Elevation and side view differ whenever the path has a part to the side: name which one.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

import math
from typing import Any

from findings.calculations.fields import Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain, refusal

SMALLEST_WORDED_CM = 0.5  # a convention, see Range
DEFAULT_ERROR_CM = 0.5  # common practice: reading a tape on skin to about half a centimeter
HEIGHT_TOLERANCE_CM = 1.0  # common practice
_SAME_PLACE_CM = 1e-9
_WORDS = (
    (1, "back to front", "front to back"),
    (0, "right to left", "left to right"),
    (2, "upward", "downward"),
)


def direction_words(delta_cm: tuple[float, float, float]) -> list[str]:
    """The direction in words, parts under the threshold left out."""
    words = []
    for axis, positive, negative in _WORDS:
        part = delta_cm[axis]
        if abs(part) >= SMALLEST_WORDED_CM:
            words.append(positive if part > 0 else negative)
    return words


def angle_deg(rise: float, run: float) -> float | None:
    """Angle of a triangle with two positive sides, 0 to 90; None when both are nothing."""
    if rise == 0 and run == 0:
        return None
    return math.degrees(math.atan2(abs(rise), abs(run)))


def angle_uncertainty_deg(seen_length_cm: float, error_cm: float) -> float | None:
    """Standard uncertainty of an angle from a path of that length in its plane.

    First order; None where the path is shorter than three times its own error.
    """
    error_of_difference = error_cm * math.sqrt(2)
    if seen_length_cm <= 0 or seen_length_cm < 3 * error_of_difference:
        return None
    return math.degrees(error_of_difference / seen_length_cm)


def _delta(inputs: Inputs) -> tuple[float, float, float]:
    start, end = inputs.raw("entrance"), inputs.raw("terminus")
    names = ("left_cm", "front_cm", "above_heel_cm")
    # Rounded to a nanometer so that 10.3 - 10 is 0.3 and the threshold is met as printed.
    dx, dy, dz = (round(end[name] - start[name], 9) for name in names)
    return dx, dy, dz


def _height_warnings(inputs: Inputs) -> list[str]:
    """Heights from heel and from the top of the head have to add up to the body length."""
    if not inputs.has("body_length_cm"):
        return []
    length = inputs.number("body_length_cm")
    found = []
    for name in ("entrance", "terminus"):
        point: dict[str, Any] = inputs.raw(name)
        below = point.get("below_top_cm")
        if below is not None and abs(point["above_heel_cm"] + below - length) > HEIGHT_TOLERANCE_CM:
            found.append(f"{name}: heights from heel and from top do not add up to body length")
        if point["above_heel_cm"] > length + HEIGHT_TOLERANCE_CM:
            found.append(f"{name}: higher above the heel than the body is long")
    return found


def compute(inputs: Inputs) -> Outcome:
    """Length, words and angles of the path, with standard uncertainties."""
    dx, dy, dz = delta = _delta(inputs)
    length = math.hypot(dx, dy, dz)
    if length <= _SAME_PLACE_CM:
        return refusal(
            "entrance and end of the path are the same place, so there is no direction",
            fields={"direction": None},
        )
    error = inputs.number("error_cm", DEFAULT_ERROR_CM)
    words = direction_words(delta)
    warnings = _height_warnings(inputs)
    if not words:
        warnings.append("every part of the path is under 0.5 cm: no direction in words")
    if dx == 0 and dy == 0:
        warnings.append("straight up or down: the azimuth has no meaning (0 is shown)")
    plain_words: list[Plain] = list(words)
    fields: dict[str, Plain] = {
        "delta_cm": [dx, dy, dz],
        "straight_length_cm": length,
        "direction": plain_words,
        "elevation_from_horizontal_deg": angle_deg(dz, math.hypot(dx, dy)),
        "azimuth_from_sagittal_deg": angle_deg(dx, dy) or 0.0,
        "side_view_deg": angle_deg(dz, dy),
        "front_view_deg": angle_deg(dz, dx),
        "u_length_cm": error * math.sqrt(2),
        "u_elevation_deg": angle_uncertainty_deg(length, error),
        "u_azimuth_deg": angle_uncertainty_deg(math.hypot(dx, dy), error),
        "u_side_view_deg": angle_uncertainty_deg(math.hypot(dz, dy), error),
        "u_front_view_deg": angle_uncertainty_deg(math.hypot(dz, dx), error),
        "uncertainty": f"1 standard deviation, linear propagation, {error:g} cm a coordinate",
    }
    if fields["u_elevation_deg"] is None:
        warnings.append("path too short for its measuring error: angles are uncertain")
    return Outcome(fields=fields, unit="deg, cm", warnings=tuple(warnings))


_POINT = (
    Field(
        "left_cm",
        Kind.NUMBER,
        "Distance to the decedent's left of the midline; right is negative.",
        "cm",
        required=True,
        minimum=-200,
        maximum=200,
    ),
    Field(
        "front_cm",
        Kind.NUMBER,
        "Distance to the front of the mid-plane; back is negative.",
        "cm",
        required=True,
        minimum=-200,
        maximum=200,
    ),
    Field(
        "above_heel_cm",
        Kind.NUMBER,
        "Height above the heel.",
        "cm",
        required=True,
        minimum=-50,
        maximum=300,
    ),
    Field(
        "below_top_cm",
        Kind.NUMBER,
        "Distance below the top of the head, to check the height.",
        "cm",
        minimum=-50,
        maximum=300,
    ),
)
METHOD = define(
    __doc__,
    name="wound_path",
    title="Wound path",
    version="1.0",
    fields=(
        Field("entrance", Kind.OBJECT, "Where the path begins.", required=True, parts=_POINT),
        Field("terminus", Kind.OBJECT, "Where the path ends.", required=True, parts=_POINT),
        Field(
            "body_length_cm",
            Kind.NUMBER,
            "Body length, to check the heights.",
            "cm",
            minimum=20,
            maximum=300,
        ),
        Field(
            "error_cm",
            Kind.NUMBER,
            "Measuring error of each coordinate, 1 standard deviation; 0.5 if not given.",
            "cm",
            minimum=0,
            maximum=20,
        ),
    ),
    result_fields=(
        ResultField("delta_cm", "cm", "Path to the left, to the front, upward."),
        ResultField("straight_length_cm", "cm", "Straight length of the path."),
        ResultField("direction", "", "Direction in words, from the decedent's body."),
        ResultField("elevation_from_horizontal_deg", "deg", "Angle to the horizontal plane."),
        ResultField("azimuth_from_sagittal_deg", "deg", "Angle to the sagittal plane, from above."),
        ResultField("side_view_deg", "deg", "Angle to the horizontal seen from the side."),
        ResultField("front_view_deg", "deg", "Angle to the horizontal seen from the front."),
        ResultField("u_length_cm", "cm", "Standard uncertainty of the length."),
        ResultField("u_elevation_deg", "deg", "Standard uncertainty of the elevation."),
        ResultField("u_azimuth_deg", "deg", "Standard uncertainty of the azimuth."),
        ResultField("u_side_view_deg", "deg", "Standard uncertainty of the side view."),
        ResultField("u_front_view_deg", "deg", "Standard uncertainty of the front view."),
        ResultField("uncertainty", "", "How the uncertainty was found."),
    ),
    example={
        "entrance": {"left_cm": -5, "front_cm": 20, "above_heel_cm": 130},
        "terminus": {"left_cm": 3, "front_cm": 2, "above_heel_cm": 118},
    },
    compute=compute,
)
