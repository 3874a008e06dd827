"""Known scenes: a scale and a lesion in one plane, seen by a camera that is tilted 0 to 45 degrees.

The projection is written out in `scenes`; OpenCV is the outside reference for the homography and
for the corners. The coverage of 95 % intervals is a count over random cases, as in JCGM 101:2008,
section 8 (from memory).
"""

import math

import cv2
import numpy as np
import pytest

from findings.calculations.photo_corner import find_corner
from findings.calculations.photo_measurement import (
    Errors,
    MeasureKind,
    Scale,
    measure,
    transform_of,
)
from findings.calculations.photo_scales import ABFO_NO_2
from findings.calculations.plane_geometry import polygon_area
from me_office.demo.pictures import render
from tests.measuring.scenes import SIZE, Camera

ABFO_MM = np.array([[point.x_mm, point.y_mm] for point in ABFO_NO_2.points])
LESION_MM = np.array([[22.0, 30.0], [61.0, 47.0]])
TILTS = (0, 15, 30, 45)


def test_a_length_is_true_within_one_percent_at_every_tilt():
    for tilt in TILTS:
        for turn in (0, 20):
            camera = Camera(tilt, turn, 12)
            rounded = [np.round(camera.seen(points)) for points in (ABFO_MM, LESION_MM)]
            found = measure(MeasureKind.LENGTH, Scale(rounded[0], ABFO_MM), rounded[1])
            true = math.dist(*LESION_MM)
            assert found.quantities[0].value == pytest.approx(true, rel=0.01), (tilt, turn)


def trial(rng, kind: MeasureKind) -> list[bool]:
    """One random view, clicked with errors, with a scale that was made with errors."""
    camera = Camera(*rng.uniform([-45, -30, -180], [45, 30, 180]), away=rng.uniform(350, 700))
    click, made = rng.uniform(0.5, 2.0), 0.1
    count = {MeasureKind.LENGTH: 2, MeasureKind.POLYLINE: 4, MeasureKind.ANGLE: 3}.get(kind, 5)
    if kind is MeasureKind.AREA:
        about = np.sort(rng.uniform(0, 2 * math.pi, count))
        points = np.array([40, 40]) + 22 * np.column_stack([np.cos(about), np.sin(about)])
    else:
        points = rng.uniform(5, 75, (count, 2))
    real_scale = ABFO_MM + rng.normal(0, made, ABFO_MM.shape)
    picked = [
        seen + rng.normal(0, click, seen.shape)
        for seen in (camera.seen(real_scale), camera.seen(points))
    ]
    answer = measure(kind, Scale(picked[0], ABFO_MM), picked[1], errors=Errors(click, made))
    true = {
        "length": float(np.hypot(*np.diff(points, axis=0).T).sum()),
        "area": polygon_area(points),
        "perimeter": float(np.hypot(*(points - np.roll(points, -1, axis=0)).T).sum()),
        "angle": angle(points),
    }
    return [each.low <= true[each.name] <= each.high for each in answer.quantities]


def angle(points) -> float:
    if len(points) != 3:
        return math.nan
    one, two = points[0] - points[1], points[2] - points[1]
    cosine = one @ two / np.hypot(*one) / np.hypot(*two)
    return math.degrees(math.acos(cosine))


@pytest.mark.parametrize("kind", list(MeasureKind))
def test_the_truth_lies_in_the_interval_in_93_of_100_random_cases(kind):
    rng = np.random.default_rng(20_261_114)
    cases = 500 if kind is MeasureKind.LENGTH else 150
    hits = [hit for _ in range(cases) for hit in trial(rng, kind)]
    assert len(hits) >= 0.96 * cases, "hardly any case may be refused"
    assert np.mean(hits) >= 0.93


def test_linear_propagation_agrees_with_monte_carlo():
    camera = Camera(35, 10, 40)
    scale_px, lesion_px = camera.seen(ABFO_MM), camera.seen(LESION_MM)
    stated = measure(MeasureKind.LENGTH, Scale(scale_px, ABFO_MM), lesion_px).quantities[0].u
    rng = np.random.default_rng(7)
    drawn = []
    for _ in range(2000):
        known = ABFO_MM + rng.normal(0, 0.1, ABFO_MM.shape)
        transform = transform_of(scale_px + rng.normal(0, 1, scale_px.shape), known)
        picked = lesion_px + rng.normal(0, 1, lesion_px.shape)
        flat = np.column_stack([picked, np.ones(2)]) @ transform.T
        drawn.append(math.dist(*(flat[:, :2] / flat[:, 2:])))
    assert stated == pytest.approx(np.std(drawn), rel=0.06)


def test_the_homography_is_that_of_opencv():
    rng = np.random.default_rng(3)
    for _ in range(20):
        camera = Camera(*rng.uniform([-45, -30, -180], [45, 30, 180]))
        four = np.array([[0, 0], [80, 0], [80, 80], [0, 80]], float)
        picked = camera.seen(four) + rng.normal(0, 1, (4, 2))
        theirs = cv2.getPerspectiveTransform(picked.astype(np.float32), four.astype(np.float32))
        ours = transform_of(picked, four)
        at = camera.seen(LESION_MM)
        expected = cv2.perspectiveTransform(at[None], theirs.astype(float))[0]
        flat = np.column_stack([at, np.ones(2)]) @ ours.T
        assert flat[:, :2] / flat[:, 2:] == pytest.approx(expected, abs=2e-3)


def test_least_squares_through_six_points_is_that_of_opencv():
    rng = np.random.default_rng(4)
    camera = Camera(30, -20, 15)
    picked = camera.seen(ABFO_MM) + rng.normal(0, 1, ABFO_MM.shape)
    theirs, _ = cv2.findHomography(picked, ABFO_MM, method=0)
    at = camera.seen(LESION_MM)
    expected = cv2.perspectiveTransform(at[None], theirs)[0]
    flat = np.column_stack([at, np.ones(2)]) @ transform_of(picked, ABFO_MM).T
    # OpenCV goes on to the least geometric error, so the two differ by less than a pick does.
    assert flat[:, :2] / flat[:, 2:] == pytest.approx(expected, abs=0.1)


def checkered(x, y):
    """A card of 80 mm with fields of 10 mm, and a dark square lesion of 20 mm on its right."""
    card = (x >= 0) & (x <= 80) & (y >= 0) & (y <= 80)
    dark = (np.floor(x / 10) + np.floor(y / 10)) % 2 == 0
    return np.where(card, np.where(dark, 30.0, 230.0), 170.0)


@pytest.mark.parametrize("tilt", TILTS)
def test_corners_found_in_a_rendered_picture_give_a_true_length(tilt):
    camera = Camera(tilt, 10, 8)
    picture = camera.rendered(checkered)
    rng = np.random.default_rng(tilt)
    known = np.array([[10, 10], [70, 10], [70, 70], [10, 70], [40, 40]], float)
    wanted = np.array([[20.0, 30.0], [60.0, 50.0]])
    found = []
    for exact in camera.seen(np.vstack([known, wanted])):
        corner = find_corner(picture, *(exact + rng.uniform(-2, 2, 2)))
        assert corner is not None
        assert math.dist((corner.x, corner.y), exact) < 0.15
        found.append((corner.x, corner.y))
    points = np.array(found)
    answer = measure(MeasureKind.LENGTH, Scale(points[:5], known), points[5:], picture_size=SIZE)
    assert answer.quantities[0].value == pytest.approx(math.dist(*wanted), rel=0.005)
    assert answer.residual_mm < 0.1


def test_corners_agree_with_opencv():
    camera = Camera(20, 10, 8)
    picture = camera.rendered(checkered)
    rng = np.random.default_rng(1)
    starts = camera.seen([[x, y] for x in (20, 40, 60) for y in (20, 40, 60)])
    starts = starts + rng.uniform(-1.5, 1.5, starts.shape)
    # OpenCV counts from the middle of the first pixel.
    begun = np.array(starts[:, None] - 0.5, np.float32, order="C")
    theirs = cv2.cornerSubPix(
        picture.astype(np.uint8), begun, (6, 6), (-1, -1),
        (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 0.001),
    )[:, 0] + 0.5  # fmt: skip
    for start, expected in zip(starts, theirs, strict=True):
        corner = find_corner(picture, *start)
        assert (corner.x, corner.y) == pytest.approx(expected, abs=0.1)


def test_no_corner_is_proposed_where_there_is_none():
    edge = np.full((60, 60), 220.0)
    edge[:, 30:] = 20
    flat = np.full((60, 60), 128.0)
    assert find_corner(edge, 30, 30) is None
    assert find_corner(flat, 30, 30) is None
    assert find_corner(edge, 2, 2) is None


def test_a_painted_picture_measures_as_it_was_painted():
    truth = render("contusion", seed=5, width=900, height=600).truth
    arm = truth["scale"]["arms"][0]
    scale = Scale(
        np.round([arm["zero_px"], arm["end_px"]]), np.array([[0, 0], [arm["length_mm"], 0]])
    )
    ends = np.round(truth["length_px"])
    answer = measure(
        MeasureKind.LENGTH, scale, ends, errors=Errors(tilt_deg=10), picture_size=(900, 600)
    )
    found = answer.quantities[0]
    true_mm = math.dist(*truth["length_px"]) * truth["mm_per_px"]
    assert found.value == pytest.approx(true_mm, rel=0.01)
    assert found.low <= true_mm <= found.high
