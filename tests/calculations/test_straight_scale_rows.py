"""A straight scale row by row: answers whole, limits worked by hand, what is too far or too wide.

Views square on are worked by hand; tilted ones by rotating the plane in space.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from findings.calculations import photo_assumptions as assumed
from findings.calculations import photo_measurement as method
from findings.calculations import straight_scale as straight
from findings.calculations.photo_measurement import (
    Answer,
    Errors,
    MeasureKind,
    Quantity,
    measure,
)
from tests.calculations.by_hand import angle, area, around, length, near, two_points, uncertainty

SIZE = (1200, 900)
# 100 px are 10 mm.
SCALE = two_points(100, 10)
NEXT = np.array([[510.0, 430], [560, 430]])
STRAIGHT = (
    "straight scale: the size is that of a camera square on; the limits hold for a camera tilted "
    "up to {} degrees, and not beyond"
)


@pytest.mark.parametrize(
    "errors", [Errors(1.0, 0.1, 12.5, 2.0), Errors(0.5, 0.4, 5.0, 0.0, (1, 2))]
)
@pytest.mark.parametrize(
    ("kind", "points", "sizes"),
    [
        (MeasureKind.LENGTH, NEXT, [("length", "mm", 5, straight.lengths, 1)]),
        (MeasureKind.AREA, np.array([[510.0, 430], [560, 430], [560, 400], [510, 400]]),
         [("area", "mm2", 15, straight.areas, 2), ("perimeter", "mm", 16, straight.perimeters, 1)]),
        (MeasureKind.ANGLE, np.array([[560.0, 430], [510, 430], [510, 400]]),
         [("angle", "deg", 90, straight.angles, 0)]),
    ],
)  # fmt: skip
def test_the_whole_answer_of_a_straight_scale(
    kind: MeasureKind, points: np.ndarray, sizes: list[Any], errors: Errors
) -> None:
    found = measure(kind, SCALE, points, errors=errors, picture_size=SIZE)
    functions = {"length": length, "area": area, "perimeter": around,
                 "angle": angle}  # fmt: skip
    quantities = []
    for name, unit, value, function, power in sizes:
        u = straight_u(points, functions[name], errors)
        views = straight.Views(errors.tilt_deg, errors.depth_mm, errors.lens)
        bounds = straight.limits(function, power, (SCALE.picture, 10), points, SIZE, views)
        assert bounds is not None
        low, high = straight.outward(bounds, value, 1.96 * u, power)
        high = min(high, 180) if unit == "deg" else high
        quantities.append(near(Quantity(name, unit, value, u, low, high)))
    assert found == Answer(
        tuple(quantities),
        warnings=(STRAIGHT.format(f"{errors.tilt_deg:g}"),),
        interval=assumed.straight_interval(errors.tilt_deg),
    )


def straight_u(points: np.ndarray, size: Any, errors: Errors) -> float:
    """By differences over the ends, the scale's length and the points."""
    at = np.concatenate([SCALE.picture.ravel(), [10.0], points.ravel()])
    own = np.full(len(at), errors.click_px)
    own[4] = errors.scale_mm

    def measured(readings: np.ndarray) -> float:
        px = math.dist(readings[:2], readings[2:4])
        return float(size(readings[5:].reshape(-1, 2) * readings[4] / px))

    return uncertainty(measured, at, own)


def test_a_straight_scale_needs_a_size_and_limits_that_say_something() -> None:
    assert measure(MeasureKind.LENGTH, SCALE, NEXT) == Answer(
        refusal="a straight scale needs the picture's width and height"
    )
    wide = np.array([[550.0, 100], [550, 800]])
    refusal = assumed.TOO_WIDE.format(tilt="50")
    assert measure(MeasureKind.LENGTH, SCALE, wide, picture_size=SIZE) == Answer(refusal=refusal)


@pytest.mark.parametrize(("ratio", "refused"), [(3.999, False), (4.0, False), (4.001, True)])
def test_limits_of_more_than_four_to_one_are_refused(
    monkeypatch: pytest.MonkeyPatch, ratio: float, refused: bool
) -> None:
    monkeypatch.setattr(method.straight, "limits", lambda *_: (2.0, 2.0 * ratio))
    errors = Errors(tilt_deg=7.5)
    found = measure(MeasureKind.LENGTH, SCALE, NEXT, errors=errors, picture_size=SIZE)
    assert found.refusal == (assumed.TOO_WIDE.format(tilt="7.5") if refused else "")


FROM_SCALE = "far from the scale: the view may differ there"


@pytest.mark.parametrize(
    ("away", "warned", "refused"),
    [(1.99, False, False), (2.01, True, False), (5.99, True, False), (6.01, True, True)],
)
def test_far_from_a_straight_scale_is_said_and_then_refused(
    away: float, warned: bool, refused: bool
) -> None:
    errors = Errors(tilt_deg=1, depth_mm=0)
    for x, y in ((0.6, 0.8), (-1, 0), (0, -1)):
        end = np.array([550.0, 450]) + 100 * away * np.array([x, y])
        line = np.array([end, end - 40 * np.array([x, y])])
        reason, warnings = method._place_by_straight(SCALE, line, errors)
        assert reason == (
            "too far from the scale: more than 6 of its lengths away" if refused else ""
        )
        said = [STRAIGHT.format("1")] + ([FROM_SCALE] if warned else [])
        assert warnings == ([] if refused else said)
    found = measure(MeasureKind.LENGTH, SCALE, line, errors=errors, picture_size=(4000, 3000))
    assert found.refusal == reason
