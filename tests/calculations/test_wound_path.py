"""Wound paths: symmetric geometry, words, and uncertainty against random trials."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from findings.calculations.registry import calculate

COORDINATE = st.floats(-60, 60).map(lambda value: round(value, 2))
POINT = st.tuples(COORDINATE, COORDINATE, COORDINATE)
quick = settings(max_examples=60, deadline=None)
ANGLES = (
    "elevation_from_horizontal_deg",
    "azimuth_from_sagittal_deg",
    "side_view_deg",
    "front_view_deg",
)


def point(at: tuple[float, float, float]) -> dict[str, float]:
    return {"left_cm": at[0], "front_cm": at[1], "above_heel_cm": at[2] + 100}


def path(start: tuple[float, ...], end: tuple[float, ...], **more: object) -> dict[str, object]:
    return calculate(
        "wound_path", {"entrance": point(start), "terminus": point(end), **more}
    ).outcome.fields


@quick
@given(POINT, POINT)
def test_a_mirrored_path_only_exchanges_right_and_left(
    start: tuple[float, float, float], end: tuple[float, float, float]
) -> None:
    assume(start != end)
    seen = path(start, end)
    mirrored = path((-start[0], *start[1:]), (-end[0], *end[1:]))
    swap = {"right to left": "left to right", "left to right": "right to left"}
    assert [swap.get(word, word) for word in seen["direction"]] == mirrored["direction"]
    for name in ("straight_length_cm", *ANGLES):
        assert seen[name] == pytest.approx(mirrored[name], abs=1e-9)


@quick
@given(POINT, POINT)
def test_a_reversed_path_has_the_same_angles_and_opposite_words(
    start: tuple[float, float, float], end: tuple[float, float, float]
) -> None:
    assume(start != end)
    there, back = path(start, end), path(end, start)
    assert there["delta_cm"] == [-part for part in back["delta_cm"]]
    assert len(there["direction"]) == len(back["direction"])
    assert not set(there["direction"]) & set(back["direction"])
    for name in ANGLES:
        assert there[name] == back[name]


@quick
@given(POINT, POINT)
def test_angles_and_length_rebuild_the_path(
    start: tuple[float, float, float], end: tuple[float, float, float]
) -> None:
    assume(start != end)
    found = path(start, end)
    rise = math.radians(found["elevation_from_horizontal_deg"])
    side = math.radians(found["azimuth_from_sagittal_deg"])
    length = found["straight_length_cm"]
    rebuilt = (
        length * math.cos(rise) * math.sin(side),
        length * math.cos(rise) * math.cos(side),
        length * math.sin(rise),
    )
    assert rebuilt == pytest.approx([abs(part) for part in found["delta_cm"]], abs=1e-7)


def test_the_uncertainty_is_that_of_random_trials() -> None:
    # Monte Carlo against linear propagation (JCGM 100 and 101): 40,000 trials.
    numbers = np.random.default_rng(8)
    start, end = np.array([-5.0, 20, 30]), np.array([3.0, 2, 18])
    paths = end - start + numbers.normal(0, 0.5, (40_000, 3)) - numbers.normal(0, 0.5, (40_000, 3))
    dx, dy, dz = np.abs(paths).T
    found = path(tuple(start), tuple(end), error_cm=0.5)
    trials = {
        "u_length_cm": np.linalg.norm(paths, axis=1),
        "u_elevation_deg": np.degrees(np.arctan2(dz, np.hypot(dx, dy))),
        "u_azimuth_deg": np.degrees(np.arctan2(dx, dy)),
        "u_side_view_deg": np.degrees(np.arctan2(dz, dy)),
        "u_front_view_deg": np.degrees(np.arctan2(dz, dx)),
    }
    for name, values in trials.items():
        assert found[name] == pytest.approx(values.std(), rel=0.03), name


@quick
@given(st.floats(0.05, 5))
def test_a_larger_measuring_error_never_makes_angles_surer(error: float) -> None:
    small = path((0, 20, 0), (10, -10, 10), error_cm=error)["u_elevation_deg"]
    large = path((0, 20, 0), (10, -10, 10), error_cm=error * 1.5)["u_elevation_deg"]
    assert large is None or (small is not None and large > small)


def test_a_path_within_its_measuring_error_has_no_angle_uncertainty() -> None:
    outcome = calculate(
        "wound_path", {"entrance": point((0, 0, 0)), "terminus": point((0, 1, 0)), "error_cm": 1}
    ).outcome
    assert outcome.fields["u_elevation_deg"] is None
    assert any("too short" in warning for warning in outcome.warnings)


def test_half_a_centimeter_is_put_into_words_and_less_is_not() -> None:
    # The threshold is a convention of the reference cases.
    assert path((10, 0, 0), (10.5, 0, 0))["direction"] == ["right to left"]
    assert path((10, 0, 0), (10.49, -9, 0))["direction"] == ["front to back"]


def test_heights_that_do_not_add_up_to_the_body_length_warn() -> None:
    outcome = calculate(
        "wound_path",
        {
            "entrance": {**point((0, 10, 30)), "below_top_cm": 50},
            "terminus": point((0, 0, 30)),
            "body_length_cm": 175,
        },
    ).outcome
    assert any("do not add up" in warning for warning in outcome.warnings)
