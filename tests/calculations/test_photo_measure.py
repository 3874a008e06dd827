"""Photograph geometry: OpenCV as outside reference, exact pinhole views, and random trials."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from findings.calculations import plane_geometry as plane
from findings.calculations.registry import calculate

SQUARE_MM = np.array([[0, 0], [80, 0], [80, 80], [0, 80]], float)
OBJECT_MM = np.array([[10, 12], [55, 18], [50, 60], [14, 44]], float)
quick = settings(max_examples=40, deadline=None)


def seen(points_mm: np.ndarray, tilt_deg: float, turn_deg: float, spin_deg: float) -> np.ndarray:
    """Exact pinhole view of points of a plane, camera 500 mm away, 3000 px focal length."""
    tilt, turn, spin = (math.radians(angle) for angle in (tilt_deg, turn_deg, spin_deg))
    about_x = np.array(
        [[1, 0, 0], [0, math.cos(tilt), -math.sin(tilt)], [0, math.sin(tilt), math.cos(tilt)]]
    )
    about_y = np.array(
        [[math.cos(turn), 0, math.sin(turn)], [0, 1, 0], [-math.sin(turn), 0, math.cos(turn)]]
    )
    about_z = np.array(
        [[math.cos(spin), -math.sin(spin), 0], [math.sin(spin), math.cos(spin), 0], [0, 0, 1]]
    )
    flat = np.column_stack([points_mm - 40, np.zeros(len(points_mm))])
    turned = flat @ (about_z @ about_y @ about_x).T + [0, 0, 500]
    return turned[:, :2] / turned[:, 2:] * 3000 + 2000


def inputs_for(picture: np.ndarray, outline: np.ndarray) -> dict[str, object]:
    return {
        "reference_mm": SQUARE_MM.tolist(),
        "reference_px": picture.tolist(),
        "object_px": outline.tolist(),
    }


ANGLE = st.floats(-40, 40)


@quick
@given(ANGLE, ANGLE, st.floats(-180, 180))
def test_perspective_is_undone_exactly(tilt: float, turn: float, spin: float) -> None:
    found = calculate(
        "photo_scale",
        inputs_for(seen(SQUARE_MM, tilt, turn, spin), seen(OBJECT_MM, tilt, turn, spin)),
    ).outcome.fields
    assert found["length_mm"] == pytest.approx(math.dist(*OBJECT_MM[:2]), rel=1e-7)
    assert found["area_mm2"] == pytest.approx(plane.polygon_area(OBJECT_MM), rel=1e-7)


@quick
@given(st.lists(st.floats(-60, 60), min_size=8, max_size=8))
def test_four_points_give_the_homography_of_opencv(shifts: list[float]) -> None:
    # Outside reference: cv2.getPerspectiveTransform.
    picture = np.array([[1000, 1000], [1600, 1000], [1600, 1600], [1000, 1600]], float)
    picture = picture + np.array(shifts).reshape(4, 2)
    assume(not plane.has_three_in_line(picture))
    theirs = cv2.getPerspectiveTransform(picture.astype(np.float32), SQUARE_MM.astype(np.float32))
    ours = plane.homography(picture.astype(np.float32).astype(float), SQUARE_MM)
    assert ours / ours[2, 2] == pytest.approx(theirs / theirs[2, 2], rel=1e-4, abs=1e-6)


def test_more_than_four_points_give_the_least_squares_fit_of_opencv() -> None:
    # Outside reference: cv2.findHomography without outlier rejection, which ends with a
    # refinement of the reprojection error: so the mapped points agree, not each digit.
    numbers = np.random.default_rng(3)
    known = np.array([[x, y] for x in (0, 40, 80) for y in (0, 40, 80)], float)
    picture = seen(known, 20, -15, 30) + numbers.normal(0, 0.3, (9, 2))
    theirs, _ = cv2.findHomography(picture, known, 0)
    ours = plane.homography(picture, known)
    inside = seen(OBJECT_MM, 20, -15, 30)
    assert plane.mapped(ours, inside) == pytest.approx(plane.mapped(theirs, inside), abs=0.02)


def test_areas_are_those_of_opencv() -> None:
    # Outside reference: cv2.contourArea.
    outline = np.array([[0, 0], [50, 5], [70, 40], [30, 90], [-10, 30]], np.float32)
    assert plane.polygon_area(outline.astype(float)) == pytest.approx(cv2.contourArea(outline))


@quick
@given(st.floats(0, 360), st.floats(-500, 500), st.floats(-500, 500), st.booleans())
def test_turning_moving_and_mirroring_an_outline_keeps_its_area(
    spin: float, dx: float, dy: float, mirror: bool
) -> None:
    angle = math.radians(spin)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    moved = OBJECT_MM @ turn.T * ([-1, 1] if mirror else [1, 1]) + [dx, dy]
    assert plane.polygon_area(moved) == pytest.approx(plane.polygon_area(OBJECT_MM), rel=1e-9)
    assert plane.polygon_area(moved[::-1]) == pytest.approx(plane.polygon_area(moved), rel=1e-12)


@quick
@given(st.floats(1, 5000), st.floats(1, 5000), st.floats(1, 500), st.floats(0.1, 10))
def test_a_straight_scale_does_not_depend_on_the_size_of_the_picture(
    object_px: float, reference_px: float, reference_mm: float, zoom: float
) -> None:
    lengths = [
        calculate(
            "photo_scale",
            {
                "object_px": object_px * factor,
                "reference_px": reference_px * factor,
                "reference_mm": reference_mm,
            },
        ).outcome.value
        for factor in (1.0, zoom)
    ]
    assert lengths[0] == pytest.approx(lengths[1], rel=1e-12)


def test_the_propagated_uncertainty_is_that_of_random_trials() -> None:
    # Check by Monte Carlo (JCGM 101:2008): 4000 trials, so about 1 % of the spread by chance.
    picture, outline = seen(SQUARE_MM, 25, 10, 5), seen(OBJECT_MM, 25, 10, 5)
    found = calculate(
        "photo_scale", {**inputs_for(picture, outline), "reference_error_mm": 0}
    ).outcome.fields
    numbers = np.random.default_rng(11)
    lengths, areas = [], []
    for _ in range(4000):
        transform = plane.homography(picture + numbers.normal(0, 1, picture.shape), SQUARE_MM)
        points = plane.mapped(transform, outline + numbers.normal(0, 1, outline.shape))
        lengths.append(plane.length(points[0], points[1]))
        areas.append(plane.polygon_area(points))
    assert found["u_length_mm"] == pytest.approx(np.std(lengths), rel=0.06)
    assert found["u_area_mm2"] == pytest.approx(np.std(areas), rel=0.06)


def test_the_straight_uncertainty_is_that_of_random_trials() -> None:
    numbers = np.random.default_rng(12)
    trials = numbers.normal(412, math.sqrt(2), 40_000) * numbers.normal(50, 0.1, 40_000)
    trials /= numbers.normal(1000, math.sqrt(2), 40_000)
    found = calculate(
        "photo_scale", {"object_px": 412.0, "reference_px": 1000.0, "reference_mm": 50.0}
    ).outcome.fields
    assert found["u_length_mm"] == pytest.approx(trials.std(), rel=0.03)


def test_a_tilted_view_warns_that_a_straight_scale_would_be_wrong() -> None:
    warnings = calculate(
        "photo_scale", inputs_for(seen(SQUARE_MM, 30, 0, 0), seen(OBJECT_MM, 30, 0, 0))
    ).outcome.warnings
    assert any("tilted" in warning for warning in warnings)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"reference_px": [[0, 0], [1, 0], [2, 0], [0, 1]]}, "in one line"),
        ({"reference_px": [[0, 0], [0, 0], [2, 0], [0, 1]]}, "in one line"),
        ({"object_px": [[1100, 1100], [1300, 1300], [1300, 1100], [1100, 1300]]}, "crosses itself"),
        ({"object_px": [[1100, 1100], [1100, 90_000]]}, "horizon"),
    ],
)
def test_points_that_cannot_be_measured_are_refused(changes: dict[str, object], words: str) -> None:
    picture = seen(SQUARE_MM, 40, 0, 0)
    outcome = calculate("photo_scale", {**inputs_for(picture, picture[:2]), **changes}).outcome
    assert words in (outcome.reason or "")


def test_three_reference_points_are_refused() -> None:
    outcome = calculate(
        "photo_scale",
        {
            "reference_mm": [[0, 0], [80, 0], [0, 80]],
            "reference_px": [[0, 0], [800, 0], [0, 800]],
            "object_px": [[0, 0], [100, 0]],
        },
    ).outcome
    assert "four" in (outcome.reason or "")


def test_an_angle_in_the_plane_is_measured_at_its_corner() -> None:
    corner = np.array([[70, 10], [10, 10], [10, 60]], float)
    found = calculate(
        "photo_scale", inputs_for(seen(SQUARE_MM, 20, 20, 0), seen(corner, 20, 20, 0))
    ).outcome.fields
    assert found["angle_at_second_deg"] == pytest.approx(90, abs=1e-6)
