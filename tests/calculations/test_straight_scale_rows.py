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


def test_the_edge_of_the_picture_is_said_with_a_straight_scale_too() -> None:
    edge = "near the picture's edge: the lens may distort there"
    for shift, said in ((0, False), (400, True)):
        scale = method.Scale(SCALE.picture + shift, SCALE.known)
        found = measure(
            MeasureKind.LENGTH, scale, NEXT + shift, errors=Errors(tilt_deg=2), picture_size=SIZE
        )
        assert found.refusal == ""
        assert (edge in found.warnings) is said


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


# The limits themselves: every view written out, one ray after the other.
def sizes_by_hand(
    points: list[tuple[float, float]], focal: float, tilt: float, turn: float
) -> list[np.ndarray]:
    """Where the rays of points meet a plane at distance 1."""
    normal = np.array([math.sin(tilt) * math.cos(turn), math.sin(tilt) * math.sin(turn),
                       math.cos(tilt)])  # fmt: skip
    rays = [
        np.array([(x - SIZE[0] / 2) / focal, (y - SIZE[1] / 2) / focal, 1.0]) for x, y in points
    ]
    return [ray / float(normal @ ray) for ray in rays]


def triangle(placed: list[np.ndarray]) -> float:
    a, b, c = (math.dist(placed[i], placed[i - 1]) for i in range(3))
    half = (a + b + c) / 2
    return math.sqrt(half * (half - a) * (half - b) * (half - c))  # Heron


def corner(placed: list[np.ndarray]) -> float:
    a, b, c = (math.dist(placed[i], placed[j]) for i, j in ((0, 1), (1, 2), (0, 2)))
    return math.degrees(math.acos((a * a + b * b - c * c) / (2 * a * b)))


THREE = [(300.0, 250.0), (420.0, 500.0), (640.0, 300.0)]


@pytest.mark.parametrize(
    ("function", "by_hand", "power"),
    [
        (straight.lengths, lambda p: math.dist(p[0], p[1]) + math.dist(p[1], p[2]), 1),
        (straight.perimeters, lambda p: sum(math.dist(p[i], p[i - 1]) for i in range(3)), 1),
        (straight.areas, triangle, 2),
        (straight.angles, corner, 0),
    ],
)
@pytest.mark.parametrize(
    ("tilt", "depth", "lens"), [(20.0, 5.0, (0.6, 8.0)), (7.5, 0.0, (1.0, 1.5)), (35, 12, (2, 8))]
)
def test_limits_are_the_least_and_the_greatest_over_every_view(
    function: Any, by_hand: Any, power: int, tilt: float, depth: float, lens: tuple[float, float]
) -> None:
    ends = [(500.0, 520.0), (700.0, 560.0)]
    found = straight.limits(
        function, power, (np.array(ends), 25.0), np.array(THREE), SIZE,
        straight.Views(tilt, depth, lens),
    )  # fmt: skip
    low, high = math.inf, -math.inf
    for over_longer in (lens[0], math.sqrt(lens[0] * lens[1]), lens[1]):
        for share in (0, 0.25, 0.5, 0.75, 1):
            for step in range(72):
                view = (over_longer * 1200, math.radians(share * tilt), math.radians(5 * step))
                one, two = sizes_by_hand(ends, *view)
                away = 25 / math.dist(one, two)
                size = by_hand(sizes_by_hand(THREE, *view))
                low = min(low, size * max(away - depth, 0) ** power)
                high = max(high, size * (away + depth) ** power)
    # Between two directions five degrees apart: 1 / cos 5 - 1 of the whole change.
    between = (1 / math.cos(math.radians(5)) - 1) * (high - low)
    assert found == pytest.approx((low - between, high + between), rel=1e-9)


def test_three_lenses_are_tried_evenly_by_their_quotient(monkeypatch: pytest.MonkeyPatch) -> None:
    real, tried = straight.cast, []

    def noted(points: Any, normals: Any, focal_px: float, middle: Any) -> Any:
        tried.append(focal_px)
        return real(points, normals, focal_px, middle)

    monkeypatch.setattr(straight, "cast", noted)
    views = straight.Views(10.0, 0.0, (0.5, 8.0))
    scale = (np.array([[500.0, 520], [700, 560]]), 25.0)
    straight.limits(straight.lengths, 1, scale, np.array(THREE), SIZE, views)
    assert tried == pytest.approx([600, 2400, 9600])


def test_a_scale_deeper_than_it_is_away_leaves_nothing_as_the_least() -> None:
    # A scale of 1 mm that fills the picture lies within a millimeter or two of a long lens.
    ends = np.array([[100.0, 450], [1100, 450]])
    low, high = straight.limits(
        straight.lengths, 1, (ends, 1.0), np.array(THREE), SIZE, straight.Views(5.0, 20.0, (1, 2))
    ) or (0.0, 0.0)
    # The least over the views is nothing, so low is what lies between two directions alone.
    between = 1 / math.cos(math.radians(5)) - 1
    assert low == pytest.approx(-between * high / (1 + between))


@pytest.mark.parametrize(("tilt", "none"), [(59.9, False), (60.1, True)])
def test_a_ray_flatter_than_eighty_degrees_has_no_limits(tilt: float, none: bool) -> None:
    # A point tan 20 to the right of the middle, in focal lengths: 80 degrees at a tilt of 60.
    focal = 1200.0
    x = 600 + focal * math.tan(math.radians(20))
    ends = np.array([[600.0, 450], [650, 450]])
    for pair in (np.array([[x, 450.0], [600, 450]]), np.array([[600.0, 450], [x, 450]])):
        views = straight.Views(tilt, 0.0, (1.0, 1.0))
        for scale, points in ((ends, pair), (pair, ends)):
            found = straight.limits(straight.lengths, 1, (scale, 10.0), points, SIZE, views)
            assert (found is None) is none


@pytest.mark.parametrize(
    ("bounds", "value", "beyond", "power", "found"),
    [
        ((20, 40), 30, 3, 1, (18, 44)),
        ((20, 40), 30, 3, 2, (18, 44)),
        ((20, 40), 30, 3, 0, (17, 43)),
        ((2, 40), 30, 3, 0, (0, 43)),
        ((20, 40), 0, 3, 1, (0, 40)),
        ((0.5, 1.5), 0.5, 0.25, 1, (0.25, 2.25)),
        ((20, 40), 10, 1, 1, (10, 44)),
        ((20, 40), 60, 6, 1, (18, 60)),
        ((20, 40), 30, 60, 1, (0, 120)),
        ((20, 40), 30, 0, 1, (20, 40)),
    ],
)
def test_limits_go_outward_by_picking_and_hold_the_value(
    bounds: tuple[float, float], value: float, beyond: float, power: int,
    found: tuple[float, float],
) -> None:  # fmt: skip
    assert straight.outward(bounds, value, beyond, power) == pytest.approx(found)


DIAGONAL = math.hypot(36, 24)


@pytest.mark.parametrize(
    ("focal", "size", "lens"),
    [
        (None, (4000, 3000), (0.6, 8.0)),
        (0, (4000, 3000), (0.6, 8.0)),
        (7.99, (4000, 3000), (0.6, 8.0)),
        (8, (4000, 3000), (0.9 * 8 / DIAGONAL * 1.25, 8.0)),
        (26, (3000, 4000), (0.9 * 26 / DIAGONAL * 1.25, 8.0)),
        (36, (3600, 2400), (0.9, 8.0)),
        (300, (3600, 2400), (7.5, 300 / 36)),
        (2000, (3600, 2400), (8.0, 2000 / 36)),
        (2001, (3600, 2400), (0.6, 8.0)),
    ],
)
def test_the_lens_goes_by_what_the_camera_named(
    focal: float | None, size: tuple[int, int], lens: tuple[float, float]
) -> None:
    assert straight.lens_of(focal, size) == pytest.approx(lens)


def test_sizes_in_space_are_those_of_each_view() -> None:
    # A square of 2 in a plane that stands upright, and one of 4 that lies flat.
    square = np.array([[0.0, 0, 0], [2, 0, 0], [2, 0, 2], [0, 0, 2]])
    both = np.stack([square, 2 * square[:, [0, 2, 1]]]) + np.array([5.0, -3, 9])
    assert straight.lengths(both) == pytest.approx([6, 12])
    assert straight.perimeters(both) == pytest.approx([8, 16])
    assert straight.areas(both) == pytest.approx([4, 16])
    far = np.array([[[0.0, 0, 0], [1, 0, 0], [0, 1, 0]]]) + 2.0**30
    assert straight.areas(far).tolist() == [0.5]
    assert straight.angles(both[:, [0, 2, 1]]) == pytest.approx([45, 45])
    assert straight.angles(both[:, [1, 2, 3]]) == pytest.approx([90, 90])


def test_rays_meet_their_planes_and_say_how_flat_they_are() -> None:
    normals = np.array([[0.0, 0, 1], [0.6, 0, 0.8]])
    points = np.array([[600.0, 450], [1200, 450], [600, 1050]])
    placed, flat = straight.cast(points, normals, 600.0, np.array([600.0, 450]))
    assert placed == pytest.approx(np.array([
        [[0, 0, 1], [1, 0, 1], [0, 1, 1]],
        [[0, 0, 1.25], [1 / 1.4, 0, 1 / 1.4], [0, 1.25, 1.25]],
    ]))  # fmt: skip
    root = math.sqrt(2)
    assert flat == pytest.approx(np.array([[1, 1 / root, 1 / root], [0.8, 1.4 / root, 0.8 / root]]))
    # A ray along its plane meets it nowhere, without a warning.
    nowhere, edge = straight.cast(points[:1], np.array([[1.0, 0, 0]]), 600.0, points[0])
    assert not np.isfinite(nowhere).all()
    assert edge == pytest.approx(np.array([[0]]))
