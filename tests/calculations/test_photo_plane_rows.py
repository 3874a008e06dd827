"""Measuring in the plane of known points row by row: answers, warnings and refusals whole.

The transform is solved again as eight equations, its derivatives by plain differences, and put
together by the law of propagation (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from findings.calculations import photo_plane
from findings.calculations.fields import BadInput
from findings.calculations.photo_plane import reference_refusal, with_uncertainty
from findings.calculations.registry import calculate
from findings.calculations.result import Interval, Outcome
from tests.calculations.by_hand import angle, area, length, solved, uncertainty

MEANING = "95 %, 1.96 u, linear propagation"
PICTURE = [[1000, 1000], [1810, 1050], [1830, 1700], [980, 1790]]
KNOWN = [[0, 0], [80, 0], [80, 70], [0, 70]]
OBJECT = [[1100, 1150], [1600, 1250], [1650, 1600], [1150, 1500]]


def photo(**inputs: Any) -> Outcome:
    given = {"reference_px": PICTURE, "reference_mm": KNOWN, "object_px": OBJECT}
    return calculate("photo_scale", {**given, **inputs}).outcome


def on_plane(readings: np.ndarray) -> np.ndarray:
    """Object points in mm out of picture (4), known (4) and object points, all in one row."""
    picture, known, points = np.split(readings.reshape(-1, 2), [4, 8])
    flat = np.column_stack([points, np.ones(len(points))]) @ solved(picture, known).T
    return flat[:, :2] / flat[:, 2:]


MEASURES = {"length_mm": length, "area_mm2": area, "angle_at_second_deg": angle}


def expected(points: list[Any], click: float, scale_mm: float) -> dict[str, Any]:
    """Each size with its standard uncertainty."""
    at = np.concatenate([np.array(one, float).ravel() for one in (PICTURE, KNOWN, points)])
    errors = np.full(len(at), click)
    errors[8:16] = scale_mm
    found: dict[str, Any] = {}
    for name, measure in MEASURES.items():
        if name != "length_mm" and len(points) < 3:
            continue
        found[name] = pytest.approx(measure(on_plane(at)), rel=1e-9)
        u = uncertainty(lambda row, measure=measure: measure(on_plane(row)), at, errors)
        found[f"u_{name}"] = pytest.approx(u, rel=1e-5)
    return found


@pytest.mark.parametrize(
    ("more", "click", "scale_mm", "count"),
    [
        ({}, 1.0, 0.1, 4),
        ({"click_error_px": 0.5}, 0.5, 0.1, 3),
        ({"reference_error_mm": 0.7}, 1.0, 0.7, 2),
        ({"click_error_px": 0, "reference_error_mm": 0}, 0.0, 0.0, 4),
    ],
)
def test_the_whole_answer_in_the_plane(
    more: dict[str, float], click: float, scale_mm: float, count: int
) -> None:
    found = photo(object_px=OBJECT[:count], **more)
    sizes = expected(OBJECT[:count], click, scale_mm)
    value, u = found.fields["length_mm"], found.fields["u_length_mm"]
    straight = math.dist(*OBJECT[:2]) * 80 / math.dist(*PICTURE[:2])
    assert found.fields == {
        **sizes,
        "length_from_first_reference_side_only_mm": pytest.approx(straight),
        "error_of_that_percent": pytest.approx(100 * (straight / value - 1)),
    }
    assert (found.value, found.unit) == (value, "mm")
    assert found.interval == Interval(
        pytest.approx(value - 1.96 * u), pytest.approx(value + 1.96 * u), MEANING
    )
    scales = [
        math.dist(PICTURE[i], PICTURE[j]) / math.dist(KNOWN[i], KNOWN[j])
        for i in range(4)
        for j in range(i)
    ]
    change = 100 * (max(scales) / min(scales) - 1)
    assert found.warnings == (
        f"tilted view: the scale changes by {change:.0f} % within the reference, so a straight "
        "scale would be wrong",
    )


@pytest.mark.parametrize("count", [3, 4])
def test_an_outline_alone_has_its_area_first(count: int) -> None:
    outline = OBJECT[:count]
    found = photo(object_px=outline, first_two_object_points_are_the_length=False)
    sizes = expected(outline, 1.0, 0.1)
    assert found.fields == {
        name: one for name, one in sizes.items() if not name.endswith("length_mm")
    }
    area_mm2, u = found.fields["area_mm2"], found.fields["u_area_mm2"]
    assert (found.value, found.unit) == (area_mm2, "mm2")
    assert found.interval == Interval(
        pytest.approx(area_mm2 - 1.96 * u), pytest.approx(area_mm2 + 1.96 * u), MEANING
    )


def test_two_points_in_one_place_have_no_length_to_compare() -> None:
    found = photo(object_px=[OBJECT[0], OBJECT[0]])
    assert found.value == 0
    assert set(found.fields) == {"length_mm", "u_length_mm"}


def test_an_interval_does_not_go_below_nothing() -> None:
    assert with_uncertainty(10, 2) == Interval(pytest.approx(6.08), pytest.approx(13.92), MEANING)
    assert with_uncertainty(1, 2) == Interval(0.0, pytest.approx(4.92), MEANING)


# A view square on, 10 px a millimeter, and one that is this much longer downward.
def square(stretch: float = 1.0, miss_mm: float = 0.0, count: int = 4) -> dict[str, Any]:
    known = [[0, 0], [40, 0], [40, 40], [0, 40], [20, 20], [10, 30], [30, 10]][:count]
    picture = [[500 + 10 * x, 1500 + 10 * stretch * y] for x, y in known]
    return {"reference_px": picture, "reference_mm": [[x + miss_mm, y] for x, y in known]}


LINE = [[600, 1600], [800, 1600]]


@pytest.mark.parametrize(
    ("stretch", "said"), [(1.0, None), (1.0199, None), (1.0201, "2"), (0.97, "3"), (1.5, "50")]
)
def test_a_tilt_is_said_from_two_percent_on(stretch: float, said: str | None) -> None:
    words = (
        f"tilted view: the scale changes by {said} % within the reference, so a straight scale "
        "would be wrong"
    )
    found = photo(**square(stretch), object_px=[[600, 1600], [700, 1600]])
    assert found.warnings == ((words,) if said else ())


@pytest.mark.parametrize(("mm", "px"), [(0.8, 8.0), (400.0, 200.0)])
def test_a_tilt_is_said_of_the_smallest_and_the_largest_reference(mm: float, px: float) -> None:
    # 0.8 mm at ten pixels a millimeter, and 400 mm at half a pixel; half as long again downward.
    corners = [(0, 0), (1, 0), (1, 1), (0, 1)]
    found = photo(
        reference_mm=[[mm * x, mm * y] for x, y in corners],
        reference_px=[[500 + px * x, 500 + 1.5 * px * y] for x, y in corners],
        object_px=[[500, 500], [500 + px / 2, 500]],
    )
    assert found.value == pytest.approx(mm / 2)
    assert "length_from_first_reference_side_only_mm" in found.fields
    assert [one[:40] for one in found.warnings] == ["tilted view: the scale changes by 50 % w"]


def test_a_known_point_given_twice_has_no_scale_of_its_own() -> None:
    given = square()
    for points in given.values():
        points.append(points[0])
    assert photo(**given, object_px=LINE).warnings == ()


FAR = "object far outside the reference points: the error grows quickly there"


@pytest.mark.parametrize(
    ("point", "is_far"),
    [
        # The reference lies from 500 to 900 across and 1500 to 1900 down; half of that beyond.
        ((300, 1600), False), ((299.9, 1600), True), ((1100, 1600), False), ((1100.1, 1600), True),
        ((600, 1300), False), ((600, 1299.9), True), ((600, 2100), False), ((600, 2100.1), True),
    ],
)  # fmt: skip
def test_far_outside_begins_half_the_extent_away(point: tuple[float, float], is_far: bool) -> None:
    for line in ([[700, 1700], [*point]], [[*point], [700, 1700]]):
        found = photo(**square(), object_px=line)
        assert found.warnings == ((FAR,) if is_far else ())


@pytest.mark.parametrize(("scale", "said"), [(0.95, None), (1.06, "1.1"), (3, "3.0")])
def test_points_that_do_not_fit_are_said_from_a_millimeter_on(
    scale: float, said: str | None
) -> None:
    # Every second corner of a square moved along by d: no projective map takes it up, by symmetry.
    given = square(count=7)
    known = np.array(given["reference_mm"], float)
    numbers = np.random.default_rng(2).normal(0, 1, known.shape)
    transform = photo_plane.plane.homography
    picture = np.array(given["reference_px"], float)
    low, high = 0.0, 40.0
    for _ in range(60):
        middle = (low + high) / 2
        moved = known + middle * numbers
        miss = photo_plane.plane.mapped(transform(picture, moved), picture) - moved
        rms = math.sqrt(sum(math.hypot(*one) ** 2 for one in miss) / len(miss))
        low, high = (middle, high) if rms < scale else (low, middle)
    found = photo(reference_px=picture.tolist(), reference_mm=moved.tolist(), object_px=LINE)
    words = f"reference points do not fit one plane: they miss by {said} mm (rms)"
    assert [one for one in found.warnings if "miss" in one] == ([words] if said else [])


FEW = "fewer than four reference points: a plane needs four, no three in line"
THREE = "three of the four reference points lie in one line"
ALL = "the reference points lie in one line"
BUT_ONE = "all reference points but one lie in one line"
BOX = [[0, 0], [9, 0], [9, 9], [0, 9]]
ROW = [[0, 0], [3, 3], [6, 6], [9, 9], [12, 12]]


@pytest.mark.parametrize(
    ("points", "reason"),
    [
        (BOX[:3], FEW),
        (BOX, None),
        ([[0, 0], [4, 0], [9, 0], [0, 9]], THREE),
        ([*BOX, [4, 5]], None),
        ([*BOX, [9, 4]], None),
        (ROW, ALL),
        ([*ROW, [12, 12]], ALL),
        ([*ROW, [0, 9]], BUT_ONE),
        ([[0, 9], *ROW], BUT_ONE),
        ([*ROW, [0, 9], [0, 9]], BUT_ONE),
        ([*ROW, [0, 9], [9, 0]], None),
        ([BOX[0], BOX[0], BOX[1], BOX[2], BOX[2]], BUT_ONE),
        ([BOX[0], BOX[0], BOX[1], BOX[2], BOX[3]], None),
    ],
)
def test_points_that_determine_no_plane_say_why(
    points: list[list[float]], reason: str | None
) -> None:
    numbers = np.random.default_rng(1)
    good = numbers.uniform(0, 100, (len(points), 2))
    given = np.array(points, float)
    assert reference_refusal(given, good) == reason
    assert reference_refusal(good, given) == reason


NOTHING = {"estimate": None, "length_mm": None, "area_mm2": None}


@pytest.mark.parametrize(
    ("inputs", "reason"),
    [
        ({"reference_px": PICTURE[:3], "reference_mm": KNOWN[:3]}, FEW),
        ({"object_px": [OBJECT[0], OBJECT[2], OBJECT[1], OBJECT[3]]},
         "the outline of the object crosses itself"),
        # The sides that run together meet 12,000 px and more away; the horizon lies there.
        ({"object_px": [OBJECT[0], [40_000, 1500]]},
         "a point lies beyond the horizon of the measured plane"),
    ],
)  # fmt: skip
def test_what_cannot_be_measured_is_refused_whole(inputs: dict[str, Any], reason: str) -> None:
    found = photo(**inputs)
    assert (found.reason, found.fields, found.value) == (reason, NOTHING, None)


def test_three_points_cannot_cross() -> None:
    assert photo(object_px=OBJECT[:3]).reason is None


def test_points_without_a_usable_plane_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(picture: object, known: object) -> None:
        raise np.linalg.LinAlgError

    with monkeypatch.context() as patched:
        patched.setattr(photo_plane.plane, "homography", none)
        found = photo()
        assert found.reason == "the reference points do not determine a plane"
        assert found.fields == NOTHING
    for name, endless in (("propagated", math.inf), ("polygon_area", math.nan)):
        with monkeypatch.context() as patched:
            patched.setattr(photo_plane.plane, name, lambda *_, endless=endless: endless)
            assert photo().reason == "the points do not determine a usable plane"
    with monkeypatch.context() as patched:
        patched.setattr(photo_plane.plane, "depths", lambda *_: np.array([1.0, math.nan]))
        assert "horizon" in (photo().reason or "")
        for depths in ([0.0, 1.0], [-1.0, 0.0]):
            patched.setattr(photo_plane.plane, "depths", lambda *_, each=depths: np.array(each))
            assert "horizon" in (photo().reason or "")


MANY = [[n, n * n] for n in range(31)]


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({"reference_px": MANY}, "reference_px", "must not have more than 30 points"),
        ({"reference_mm": MANY}, "reference_mm", "must not have more than 30 points"),
        ({"object_px": [[n, 0] for n in range(201)]}, "object_px",
         "must not have more than 200 points"),
        ({"reference_mm": KNOWN[:3]}, "reference_mm", "must have as many points as reference_px"),
        ({"object_px": OBJECT[:1]}, "object_px", "must have at least two points"),
        ({"object_px": []}, "object_px", "must have at least two points"),
        ({"object_px": OBJECT[:2], "first_two_object_points_are_the_length": False},
         "object_px", "must have at least three points"),
    ],
)  # fmt: skip
def test_lists_of_points_have_their_number(inputs: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(BadInput) as caught:
        photo(**inputs)
    assert (caught.value.field, caught.value.message) == (field, words)


def test_thirty_known_points_are_not_too_many() -> None:
    known = [[x, y] for x in range(6) for y in range(5)]
    picture = [[100 + 10 * x, 100 + 10 * y] for x, y in known]
    found = photo(reference_px=picture, reference_mm=known, object_px=[[100, 100], [130, 140]])
    assert found.value == pytest.approx(5)
    assert found.warnings == ()
