"""Plane geometry row by row, against second ways of computing it and exact limits."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations, permutations

import numpy as np
import pytest

from findings.calculations import plane_geometry as plane
from findings.calculations.arrays import floats
from tests.calculations.by_hand import solved

AWAY = np.array([700.0, -300.0])


def points(*pairs: tuple[float, float]) -> np.ndarray:
    return np.array(pairs, float) + AWAY


def test_numbers_become_doubles_of_their_shape() -> None:
    for given in (3, [1, 2], [[1], [2]], np.float32(0.5), np.array([True])):
        found = floats(given)
        assert found.dtype == np.float64
        assert found.tolist() == np.array(given).tolist()
    same = np.array([1.5])
    assert floats(same) is same


def test_a_distance_is_that_of_pythagoras() -> None:
    # 3, 4, 5 and 5, 12, 13.
    assert plane.length(np.array([1.0, 2.0]), np.array([4.0, 6.0])) == pytest.approx(5)
    assert plane.length(np.array([4.0, 14.0]), np.array([9.0, 2.0])) == pytest.approx(13)


@pytest.mark.parametrize(
    ("outline", "area"),
    [
        ([(0, 0), (6, 0), (0, 5)], 15),
        ([(0, 0), (4, 0), (4, 3), (0, 3)], 12),
        ([(0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4)], 12),
        # Pick's theorem: 4 points inside, 5 on the edge, 4 + 5 / 2 - 1.
        ([(0, 0), (3, 1), (4, 3), (1, 3), (0, 2)], 8),
    ],
)
def test_an_area_is_that_of_its_squares(outline: list[tuple[float, float]], area: float) -> None:
    for turned in (outline, outline[::-1], outline[1:] + outline[:1]):
        assert plane.polygon_area(points(*turned)) == pytest.approx(area)


def test_a_small_outline_far_away_keeps_its_area() -> None:
    # A billion away a square of the coordinate is exact to 128 only.
    far = np.array([[0.0, 0], [1, 0], [0, 1]]) + 2.0**30
    assert plane.polygon_area(far) == 0.5


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 135, 179, 180])
def test_an_angle_is_that_of_its_legs(degrees: float) -> None:
    for start in (0, 70, 200):
        for sign in (1, -1):
            one, two = math.radians(start), math.radians(start + sign * degrees)
            a, corner, b = points(
                (1 + 3 * math.cos(one), 2 + 3 * math.sin(one)),
                (1, 2),
                (1 + 8 * math.cos(two), 2 + 8 * math.sin(two)),
            )
            assert plane.angle_deg(a, corner, b) == pytest.approx(degrees, abs=1e-5)


def sides_cross(a, b, c, d) -> bool:
    """Whether two sides cross inside both, by solving for the place on each."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if across == 0:
        return False
    on_first = Fraction((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx), across)
    on_second = Fraction((cx - ax) * (by - ay) - (cy - ay) * (bx - ax), across)
    return 0 < on_first < 1 and 0 < on_second < 1


def test_an_outline_crosses_itself_where_two_of_its_sides_do() -> None:
    numbers = np.random.default_rng(5)
    seen = set()
    for _ in range(400):
        corners = [tuple(map(int, pair)) for pair in numbers.integers(0, 7, (5, 2))]
        sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
        crossing = [
            (i, j) for i, j in combinations(range(5), 2) if sides_cross(*sides[i], *sides[j])
        ]
        assert plane.crosses_itself(np.array(corners, float)) is bool(crossing), corners
        seen |= {tuple(crossing)} if len(crossing) == 1 else set()
    assert len(seen) == 5, "every pair of sides that are not neighbors"
    # Two sides that only touch, and a corner on a side, do not cross.
    assert not plane.crosses_itself(points((0, 0), (4, 0), (4, 4), (2, 0), (0, 4)))


# Three points at -1, 1 and h above the middle: h 0.5774 is the ratio of the two spreads.
@pytest.mark.parametrize(
    ("height", "is_line"), [(0, True), (1.73e-3, True), (1.734e-3, False), (1, False)]
)
def test_points_in_line_are_those_within_a_thousandth(height: float, is_line: bool) -> None:
    row = np.array([[-1.0, 0], [1, 0], [0, height]])
    for angle in (0.0, 0.7, 2.0):
        turn = [[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]
        assert plane.in_line(row @ np.array(turn) * 50 + [3, 4]) is is_line


def test_points_that_coincide_are_in_line() -> None:
    assert plane.in_line(np.array([[2.0, 3.0]] * 4))
    assert plane.has_three_in_line(np.array([[2.0, 3.0]] * 3))


# A triangle with a longest side of 50 and this height: flat up to 0.05.
@pytest.mark.parametrize(("height", "is_line"), [(0, True), (0.0499, True), (0.0501, False)])
def test_a_triangle_is_a_line_when_it_is_a_thousandth_high(height: float, is_line: bool) -> None:
    for middle in (10.0, 25.0, 40.0):
        for three in permutations([(0, 0), (50, 0), (middle, height)]):
            found = plane.has_three_in_line(points(*three))
            assert found is is_line
            for place in range(4):
                four = [*three[:place], (20.0, 90.0), *three[place:]]
                assert plane.has_three_in_line(points(*four)) is is_line


def test_normalized_points_have_their_middle_at_zero_and_a_distance_of_root_two() -> None:
    # Hartley and Zisserman, Multiple View Geometry, algorithm 4.2 (from memory).
    given = points((0, 0), (8, 1), (9, 7), (2, 6))
    found, transform = plane._normalized(given)
    assert found.mean(axis=0) == pytest.approx([0, 0], abs=1e-12)
    assert np.hypot(found[:, 0], found[:, 1]).mean() == pytest.approx(math.sqrt(2))
    flat = np.column_stack([given, np.ones(4)]) @ transform.T
    assert flat[:, :2] == pytest.approx(found)
    assert flat[:, 2] == pytest.approx(np.ones(4))


PICTURE = points((0, 0), (80, 10), (95, 70), (-10, 60))
KNOWN = np.array([[0.0, 0.0], [50, 0], [50, 40], [0, 40]])
INSIDE = points((10, 10), (50, 50), (70, 30))


def test_four_points_give_the_one_transform_that_takes_them_over() -> None:
    found = plane.homography(PICTURE, KNOWN)
    expected = solved(PICTURE, KNOWN)
    assert found / found[2, 2] == pytest.approx(expected, rel=1e-9)
    assert plane.mapped(found, PICTURE) == pytest.approx(KNOWN, abs=1e-9)
    flat = np.array([expected @ [x, y, 1] for x, y in INSIDE])
    assert plane.mapped(found, INSIDE) == pytest.approx(flat[:, :2] / flat[:, 2:])
    assert plane.depths(expected, INSIDE) == pytest.approx(flat[:, 2])


def test_more_points_give_the_least_singular_vector_of_the_normalized_equations() -> None:
    # Hartley and Zisserman, algorithm 4.2 (from memory), by the eigenvectors of A'A.
    numbers = np.random.default_rng(9)
    known = np.vstack([KNOWN, [[25, 20], [10, 30]]])
    picture = plane.mapped(np.linalg.inv(solved(PICTURE, KNOWN)), known)
    picture = picture + numbers.normal(0, 1, picture.shape)

    def scaled(given: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        middle = given.mean(axis=0)
        factor = math.sqrt(2) / np.mean([math.dist(one, middle) for one in given])
        matrix = np.diag([factor, factor, 1.0])
        matrix[:2, 2] = -factor * middle
        return (given - middle) * factor, matrix

    (source, before), (target, after) = scaled(picture), scaled(known)
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    least = np.linalg.eigh(np.array(rows).T @ np.array(rows))[1][:, 0].reshape(3, 3)
    expected = np.linalg.inv(after) @ least @ before
    found = plane.homography(picture, known)
    assert found / found[2, 2] == pytest.approx(expected / expected[2, 2], rel=1e-6)


def test_an_uncertainty_is_the_root_of_the_squared_shares() -> None:
    # JCGM 100:2008, 5.1.2: u^2 = sum of (derivative x error)^2.
    at, errors = np.array([1.0, 2.0, 3.0]), np.array([0.0, 0.2, 0.1])
    assert plane.propagated(
        lambda rows: [9 * r[0] + 3 * r[1] + 8 * r[2] for r in rows], at, errors
    ) == (pytest.approx(1.0))
    assert at.tolist() == [1, 2, 3]
    assert plane.propagated(lambda rows: rows.sum(axis=1), at, np.zeros(3)) == 0


def test_a_derivative_is_taken_over_a_ten_thousandth_of_the_error_on_either_side() -> None:
    # Of x^3 at 2 the difference quotient over +-h is 12 + h^2.
    at = np.array([2.0])
    for error, step, slope in ((1e4, {}, 13), (2.0, {"step": 0.5}, 13), (4.0, {"step": 0.5}, 16)):
        found = plane.propagated(lambda rows: rows[:, 0] ** 3, at, np.array([error]), **step)
        assert found == pytest.approx(slope * error)
