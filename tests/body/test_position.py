import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.body.catalogue import BodyGeometryError, UnknownBody
from findings.body.picking import pick
from findings.body.position import describe
from findings.body.views import BODIES


def test_the_worked_example_of_the_surfaces_comes_out():
    # From the description of the surfaces: z = 742 on a body of 1.68 m.
    position = describe("adult_male", (-84.5, 10, 742), 168)
    assert position.height_above_heel_cm == 124.7
    assert position.below_top_of_head_cm == 43.3
    assert position.midline_offset_cm == 14.2
    assert position.side == "right"


def test_the_phrase_is_that_of_a_report():
    found = pick("adult_male", "anterior", -72, 290)
    position = describe("adult_male", found.point, 171, normal=found.normal)
    assert position.wording == (
        "121.4 cm above the heel, 49.6 cm below the top of the head "
        "and 12.3 cm right of the anterior midline"
    )


@settings(deadline=None)
@given(
    body=st.sampled_from(sorted(BODIES)),
    z=st.floats(0, 1000),
    x=st.floats(-250, 250),
    length=st.floats(30, 220).map(lambda value: round(value, 1)),
)
def test_the_two_heights_add_up_to_the_length(body, z, x, length):
    position = describe(body, (x, 0, z), length, normal=(0, 1, 0))
    total = position.height_above_heel_cm + position.below_top_of_head_cm
    assert total == pytest.approx(length, abs=1e-6)
    assert position.height_above_heel_cm == pytest.approx(z * length / 1000, abs=0.05 + 1e-9)
    assert position.midline_offset_cm == pytest.approx(abs(x) * length / 1000, abs=0.05 + 1e-9)


@settings(deadline=None)
@given(x=st.floats(-250, 250), z=st.floats(0, 1000))
def test_a_mirrored_point_differs_in_its_side_only(x, z):
    here = describe("adult_female", (x, 0, z), 165, normal=(0, 1, 0))
    there = describe("adult_female", (-x, 0, z), 165, normal=(0, 1, 0))
    assert {here.side, there.side} in ({"left", "right"}, {"midline"})
    assert here.midline_offset_cm == there.midline_offset_cm
    assert here.height_above_heel_cm == there.height_above_heel_cm


def test_without_a_length_only_proportions_are_given():
    position = describe("child", (40, 60, 614), None)
    assert position.height_above_heel_cm is None
    assert position.below_top_of_head_cm is None
    assert position.midline_offset_cm is None
    assert position.height_percent == 61.4
    assert "cm" not in position.wording
    assert "61.4 % of the crown-heel length" in position.wording


@pytest.mark.parametrize(
    ("view", "midline"), [("anterior", "anterior"), ("posterior", "posterior")]
)
@pytest.mark.parametrize("body", BODIES)
def test_the_midline_is_that_of_the_side_looked_at(body, view, midline):
    for u, v in ((30, 300), (-30, 300), (40, 350)):
        found = pick(body, view, u, v)
        assert describe(body, found.point, 100, normal=found.normal).midline == midline
        assert describe(body, found.point, 100).midline == midline


def test_a_point_in_the_midline_is_said_to_be_in_it():
    found = pick("adult_male", "anterior", 0, 300)
    position = describe("adult_male", found.point, 170)
    assert position.side == "midline"
    assert position.wording.endswith("and in the anterior midline")


@pytest.mark.parametrize("body", BODIES)
def test_landmarks_lie_where_they_belong(body):
    marks = BODIES[body].landmarks
    assert describe(body, marks["vertex"], 100).below_top_of_head_cm == pytest.approx(0, abs=0.3)
    assert describe(body, marks["umbilicus"], 100).side == "midline"
    assert describe(body, marks["left_patella"], 100).side == "left"
    assert describe(body, marks["right_olecranon"], 100).midline == "posterior"


@pytest.mark.parametrize("length", [0, 4.9, 301, -170, math.nan])
def test_an_impossible_length_is_refused(length):
    with pytest.raises(BodyGeometryError, match="between 5 and 300 cm"):
        describe("adult_male", (0, 0, 500), length)


def test_an_unknown_body_and_a_point_without_numbers_are_refused():
    with pytest.raises(UnknownBody):
        describe("giant", (0, 0, 0), 170)
    with pytest.raises(BodyGeometryError, match="three finite numbers"):
        describe("adult_male", (0, math.inf, 0), 170)
