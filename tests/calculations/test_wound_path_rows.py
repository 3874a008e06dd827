"""Wound paths row by row: words, angles and warnings at both sides of every limit.

Angles: plane trigonometry, worked by hand. Thresholds: a convention and common practice, as the
method says.
"""

from __future__ import annotations

import math

import pytest

from findings.calculations.registry import calculate
from findings.calculations.wound_path import angle_deg, angle_uncertainty_deg, direction_words


def outcome(start, end, **more):
    names = ("left_cm", "front_cm", "above_heel_cm")
    ends = {
        "entrance": dict(zip(names, start, strict=True)),
        "terminus": dict(zip(names, end, strict=True)),
    }
    for name in ("entrance", "terminus"):
        ends[name].update(more.pop(name, {}))
    return calculate("wound_path", {**ends, **more}).outcome


@pytest.mark.parametrize(
    ("delta", "words"),
    [
        ((0.5, 0, 0), ["right to left"]),
        ((-0.5, 0, 0), ["left to right"]),
        ((0, 0.5, 0), ["back to front"]),
        ((0, -0.5, 0), ["front to back"]),
        ((0, 0, 0.5), ["upward"]),
        ((0, 0, -0.5), ["downward"]),
        ((0.499, -0.499, 0.499), []),
        ((8, -18, -12), ["front to back", "right to left", "downward"]),
        ((-8, 18, 12), ["back to front", "left to right", "upward"]),
    ],
)
def test_a_direction_is_said_from_the_decedents_body(delta, words):
    assert direction_words(delta) == words


@pytest.mark.parametrize(
    ("rise", "run", "degrees"),
    [(0, 0, None), (1, 0, 90), (0, 1, 0), (-1, 1, 45), (1, -1, 45), (-3, -4, 36.8698976)],
)
def test_an_angle_lies_between_nothing_and_a_right_angle(rise, run, degrees):
    found = angle_deg(rise, run)
    assert found == (None if degrees is None else pytest.approx(degrees))


@pytest.mark.parametrize(
    ("length", "error", "degrees"),
    [
        (0, 0, None),
        (-1, 0, None),
        (0.5, 0, 0),
        (10, 1, math.degrees(math.sqrt(2) / 10)),
        (3 * math.sqrt(2), 1, math.degrees(1 / 3)),
        (3 * math.sqrt(2) - 1e-9, 1, None),
    ],
)
def test_an_angle_has_an_uncertainty_from_three_errors_on(length, error, degrees):
    found = angle_uncertainty_deg(length, error)
    assert found == (None if degrees is None else pytest.approx(degrees))


def test_the_whole_answer_of_one_path():
    found = outcome((-5, 20, 130), (3, 2, 118))
    error = 0.5 * math.sqrt(2)

    def uncertain(*parts):
        return pytest.approx(math.degrees(error / math.hypot(*parts)))

    assert found.fields == {
        "delta_cm": [8, -18, -12],
        "straight_length_cm": pytest.approx(math.sqrt(532)),
        "direction": ["front to back", "right to left", "downward"],
        "elevation_from_horizontal_deg": pytest.approx(
            math.degrees(math.asin(12 / math.sqrt(532)))
        ),
        "azimuth_from_sagittal_deg": pytest.approx(23.962489, abs=1e-5),
        "side_view_deg": pytest.approx(33.690068, abs=1e-5),
        "front_view_deg": pytest.approx(56.309932, abs=1e-5),
        "u_length_cm": pytest.approx(error),
        "u_elevation_deg": uncertain(8, 18, 12),
        "u_azimuth_deg": uncertain(8, 18),
        "u_side_view_deg": uncertain(12, 18),
        "u_front_view_deg": uncertain(12, 8),
        "uncertainty": "1 standard deviation, linear propagation, 0.5 cm a coordinate",
    }
    assert (found.unit, found.warnings, found.reason) == ("deg, cm", (), None)
    other = outcome((-5, 20, 130), (3, 2, 118), error_cm=0.25).fields
    assert other["u_length_cm"] == pytest.approx(error / 2)
    assert other["uncertainty"].endswith(", 0.25 cm a coordinate")


SHORT = "path too short for its measuring error: angles are uncertain"
NO_WORDS = "every part of the path is under 0.5 cm: no direction in words"
NO_AZIMUTH = "straight up or down: the azimuth has no meaning (0 is shown)"


@pytest.mark.parametrize(
    ("end", "warnings"),
    [
        ((0, 0, 110), (NO_AZIMUTH,)),
        ((0, 1, 110), ()),
        ((1, 0, 110), ()),
        ((0, 0, 100.4), (NO_WORDS, NO_AZIMUTH, SHORT)),
        ((0.4, 0.4, 100.4), (NO_WORDS, SHORT)),
        ((0, 2.2, 100), ()),
        ((0, 2.1, 100), (SHORT,)),
    ],
)
def test_what_a_path_does_not_tell_is_warned_of(end, warnings):
    found = outcome((0, 0, 100), end)
    assert found.warnings == warnings
    if NO_AZIMUTH in warnings:
        assert found.fields["azimuth_from_sagittal_deg"] == 0
        assert found.fields["u_azimuth_deg"] is None


def test_a_path_that_ends_where_it_begins_has_no_direction():
    found = outcome((1, 2, 100), (1, 2, 100))
    assert found.reason == (
        "entrance and end of the path are the same place, so there is no direction"
    )
    assert found.fields["direction"] is None
    assert outcome((0, 0, 100), (0, 0.00001, 100)).reason is None
    # Decimal numbers are met as printed: 10.3 less 10 is 0.3.
    assert outcome((0, 10, 100), (0, 10.3, 100)).fields["delta_cm"] == [0, 0.3, 0]


def test_heights_are_checked_at_both_ends_to_one_centimeter():
    def warned(**ends):
        return outcome((0, 10, 130), (0, 0, 120), body_length_cm=175, **ends).warnings

    apart = "heights from heel and from top do not add up to body length"
    assert warned(entrance={"below_top_cm": 46}, terminus={"below_top_cm": 54}) == ()
    assert warned(entrance={"below_top_cm": 46.1}, terminus={"below_top_cm": 54}) == (
        f"entrance: {apart}",
    )
    assert warned(entrance={"below_top_cm": 45}, terminus={"below_top_cm": 53.9}) == (
        f"terminus: {apart}",
    )
    assert warned(entrance={"below_top_cm": 0}, terminus={"below_top_cm": 0}) == (
        f"entrance: {apart}",
        f"terminus: {apart}",
    )
    beyond = "higher above the heel than the body is long"
    assert outcome((0, 10, 176), (0, 0, 176), body_length_cm=175).warnings == ()
    assert outcome((0, 10, 176.1), (0, 0, 176.1), body_length_cm=175).warnings == (
        f"entrance: {beyond}",
        f"terminus: {beyond}",
    )
    assert outcome((0, 10, 250), (0, 0, 250)).warnings == ()
