"""The parts of a photograph's measurement: kinds, words of an interval, scales, corners."""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
import pytest

from findings.calculations import photo_assumptions as assumed
from findings.calculations.photo_corner import Corner, _solved, find_corner
from findings.calculations.photo_kinds import QUANTITIES, MeasureKind
from findings.calculations.photo_scales import ScalePoint, _arms, rectangle

# A right triangle of 3, 4 and 5, its right angle at the second corner.
TRIANGLE = np.array([[7.0, 5], [7, 2], [3, 2]])


@pytest.mark.parametrize(
    ("kind", "sizes"),
    [
        (MeasureKind.LENGTH, {"length": 7}),
        (MeasureKind.POLYLINE, {"length": 7}),
        (MeasureKind.AREA, {"area": 6, "perimeter": 12}),
        (MeasureKind.ANGLE, {"angle": 90}),
    ],
)
def test_each_kind_gives_its_quantities(kind: MeasureKind, sizes: dict[str, float]) -> None:
    found = {name: function(TRIANGLE) for name, _, function in QUANTITIES[kind]}
    assert found == pytest.approx(sizes)
    units = {"length": "mm", "area": "mm2", "perimeter": "mm", "angle": "deg"}
    assert {name: unit for name, unit, _ in QUANTITIES[kind]} == {n: units[n] for n in sizes}


# The angle at 3, 4: another one than at either end.
def test_an_angle_is_that_of_the_second_point() -> None:
    ((_, _, function),) = QUANTITIES[MeasureKind.ANGLE]
    assert function(TRIANGLE[[1, 0, 2]]) == pytest.approx(math.degrees(math.atan2(4, 3)))
    assert function(TRIANGLE[[1, 2, 0]]) == pytest.approx(math.degrees(math.atan2(3, 4)))


BOTH = ("picking the points and reading the scale's ends", "the scale's own error as stated")
PLANE = (*BOTH, "the camera's tilt, corrected by the scale's plane", "how badly points fit")


def straight(tilt: str, depth: str) -> tuple[str, ...]:
    return (
        *BOTH,
        f"a camera tilted up to {tilt} degrees in any direction, through any usual lens",
        f"a scale that lies up to {depth} mm higher or lower",
    )


def test_what_an_interval_covers_is_said_of_each_scale() -> None:
    assert assumed.covered(straight=False) == PLANE
    assert assumed.covered(straight=False, tilt_deg=3) == PLANE
    assert assumed.covered(straight=True, tilt_deg=7.5, depth_mm=5) == straight("7.5", "5")
    assert assumed.covered(straight=True) == straight("0", "0")
    kept = {"interval": "x", "tilt_deg": 20.0, "depth_mm": 2.5}
    assert assumed.covered_by(kept, straight=True) == straight("20", "2.5")
    assert assumed.covered_by(kept, straight=False) == PLANE
    empty: dict[str, Any] = {"tilt_deg": None, "depth_mm": None}
    for lacking in ({}, empty):
        assert assumed.covered_by(lacking, straight=True) == straight("0", "0")
    assert assumed.covered_by({**kept, "interval": assumed.WITHHELD}, straight=True) == ()


def test_what_an_interval_leaves_out_is_said_of_each_scale() -> None:
    lies = "a scale that lies higher or lower than what is measured"
    assert assumed.left_out(straight=False) == (lies, *assumed.LEFT_OUT)
    assert assumed.left_out(straight=True) == (
        "a camera tilted further", "a picture that was cropped", *assumed.LEFT_OUT,
    )  # fmt: skip
    assert assumed.straight_interval(12.5) == (
        "limits, not 95 %: every tilt of the camera up to 12.5 degrees in any direction, with "
        "1.96 u of picking and scale"
    )


def test_an_interval_of_the_earlier_method_is_withheld() -> None:
    size = {"name": "length", "unit": "mm", "value": 30.0, "u": 0.3, "low": 29.4, "high": 30.6}
    kept = {
        "quantities": [size],
        "interval": "95 %",
        "warnings": ["straight scale: true only square on", "near the edge"],
        "more": 1,
    }
    shown = assumed.as_shown(kept, straight=True, version="1.0")
    assert shown == {
        "quantities": [{**size, "u": None, "low": None, "high": None}],
        "interval": assumed.WITHHELD,
        "warnings": [assumed.WITHHELD_WARNING, "near the edge"],
        "more": 1,
    }
    assert (assumed.is_withheld(shown), assumed.is_withheld(kept)) == (True, False)
    for is_straight, version in ((False, "1.0"), (True, "2.0"), (True, "10.1")):
        same = assumed.as_shown(kept, straight=is_straight, version=version)
        assert same == kept
        assert same is not kept
    assert assumed.as_shown(kept, straight=True, version="1.9") == shown


def test_a_scale_has_its_graduations_on_both_arms() -> None:
    assert _arms(10, 2.5) == (
        ScalePoint("10 mm, first arm", 10, 0.0),
        ScalePoint("2.5 mm, first arm", 2.5, 0.0),
        ScalePoint("10 mm, second arm", 0.0, 10),
        ScalePoint("2.5 mm, second arm", 0.0, 2.5),
    )


def test_a_card_has_its_corners_in_turn() -> None:
    # ISO/IEC 7810, ID-1: 85.60 by 53.98 mm.
    assert rectangle(85.6, 53.98) == (
        ScalePoint("Upper left corner", 0.0, 0.0),
        ScalePoint("Upper right corner", 85.6, 0.0),
        ScalePoint("Lower right corner", 85.6, 53.98),
        ScalePoint("Lower left corner", 0.0, 53.98),
    )


def crossing(x: float, y: float, *, size: int = 40, dark: float = 30, bright: float = 230,
             slant: float = 0.0, wide: int | None = None) -> np.ndarray:  # fmt: skip
    """A checkered crossing whose edges meet at (x, y), a little out of focus as a lens is."""
    wide = wide or size
    at = (np.arange(8) + 0.5) / 8
    columns = (np.arange(wide)[:, None] + at).ravel() - x
    rows = (np.arange(size)[:, None] + at).ravel() - y
    over = (columns[None] + slant * rows[:, None] > 0) ^ (rows[:, None] - slant * columns[None] > 0)
    return soft(np.where(over, bright, dark))


def soft(fine: np.ndarray) -> np.ndarray:
    """Pixels of 8 by 8 samples, blurred over a pixel and a half."""
    rows, columns = (count // 8 for count in fine.shape)
    picture = fine.reshape(rows, 8, columns, 8).mean(axis=(1, 3))
    for axis in (0, 0, 0, 1, 1, 1):
        edge = np.pad(picture, [(1, 1) if axis == n else (0, 0) for n in (0, 1)], mode="edge")
        before, after = (np.delete(edge, ends, axis) for ends in ((-1, -2), (0, 1)))
        picture = (before + 2 * picture + after) / 4
    return np.asarray(picture)


def by_opencv(picture: np.ndarray, x: float, y: float) -> tuple[float, float]:
    """Outside reference: cv2.cornerSubPix, which counts from the middle of the first pixel."""
    start = np.array([[[x - 0.5, y - 0.5]]], np.float32)
    found = cv2.cornerSubPix(picture.astype(np.float32), start, (6, 6), (-1, -1), (3, 50, 1e-4))
    return float(found[0, 0, 0]) + 0.5, float(found[0, 0, 1]) + 0.5


@pytest.mark.parametrize("slant", [0.0, 0.3, -0.5])
@pytest.mark.parametrize(("x", "y"), [(20.0, 20.0), (19.3, 20.8), (21.75, 18.5)])
def test_a_corner_is_where_the_edges_meet(x: float, y: float, slant: float) -> None:
    picture = crossing(x, y, slant=slant)
    for start in ((x, y), (x + 1.5, y - 1), (x - 2, y + 1.5)):
        found = find_corner(picture, *start)
        assert found is not None
        assert (found.x, found.y) == pytest.approx((x, y), abs=0.08)
        assert (found.x, found.y) == pytest.approx(by_opencv(picture, *start), abs=0.015)
        assert found.moved_px == pytest.approx(math.dist((found.x, found.y), start))


def test_a_picture_need_not_be_square() -> None:
    picture = crossing(60.2, 19.6, size=30, wide=90)
    found = find_corner(picture, 60, 20)
    assert found is not None
    assert (found.x, found.y) == pytest.approx((60.2, 19.6), abs=0.05)
    turned = find_corner(picture.T, 20, 60)
    assert turned is not None
    assert (turned.x, turned.y) == pytest.approx((19.6, 60.2), abs=0.05)


# A neighborhood reaches seven pixels from the pixel of the point, and one more to the right.
@pytest.mark.parametrize(
    ("place", "is_there"), [(7.5, True), (7.45, False), (32.45, True), (32.55, False)]
)
def test_a_neighborhood_lies_inside_the_picture(place: float, is_there: bool) -> None:
    for x, y in ((place, 20.0), (20.0, place)):
        found = find_corner(crossing(x, y), x, y)
        assert (found is not None) is is_there


@pytest.mark.parametrize(("bright", "is_there"), [(141.9, False), (142, True)])
def test_a_corner_needs_a_contrast_of_twelve(bright: float, is_there: bool) -> None:
    found = find_corner(crossing(20.0, 20.0, dark=130, bright=bright), 20, 20)
    assert (found is not None) is is_there


@pytest.mark.parametrize(
    ("count", "dark", "bright", "is_there"),
    [(23, 100, 115, False), (24, 100, 115, True), (23, 115, 100, False), (24, 115, 100, True)],
)
def test_contrast_is_that_of_the_brightest_and_the_darkest_tenth(
    count: int, dark: float, bright: float, is_there: bool
) -> None:
    # Of 225 pixels the tenth ends between the 23rd and the 24th: 22.4 steps from the end.
    window = np.full((15, 15), dark, float)
    patch = np.full(25, dark, float)
    patch[:count] = bright
    window[5:10, 5:10] = patch.reshape(5, 5)
    assert (_solved(window) is not None) is is_there


def test_one_step_is_the_weighted_least_squares_solution() -> None:
    # Of g . offset = g . place over the neighborhood, weights exp(-r^2 / 18), by np.linalg.lstsq.
    numbers = np.random.default_rng(6)
    for _ in range(3):
        window = numbers.normal(0, 20, (15, 15))
        down, across = (part[1:-1, 1:-1].ravel() for part in np.gradient(window))
        y, x = (part.ravel() - 6.0 for part in np.indices((13, 13)))
        weight = np.sqrt(np.exp(-(x**2 + y**2) / 18))
        rows = np.column_stack([across, down]) * weight[:, None]
        right = (across * x + down * y) * weight
        assert _solved(window) == pytest.approx(np.linalg.lstsq(rows, right)[0])


def test_a_corner_farther_than_four_pixels_is_another_one() -> None:
    picture = crossing(20.0, 20.0, slant=0.3)
    for away, is_there in ((3.5, True), (4.6, False)):
        for dx, dy in ((away, 0.0), (0.0, -away), (-away * 0.6, away * 0.8)):
            found = find_corner(picture, 20 + dx, 20 + dy)
            assert isinstance(found, Corner) is is_there, (dx, dy)


@pytest.mark.parametrize(("bend", "is_there"), [(0.0, False), (0.15, False), (1.0, True)])
def test_one_edge_is_no_crossing(bend: float, is_there: bool) -> None:
    # An edge that bends at the middle: straight, hardly, and by 45 degrees on both sides.
    at = (np.arange(320) + 0.5) / 8 - 20
    fine = np.where(at[None] > bend * np.abs(at[:, None]), 230.0, 30.0)
    found = find_corner(soft(fine), 20.0, 20.0)
    assert (found is not None) is is_there
