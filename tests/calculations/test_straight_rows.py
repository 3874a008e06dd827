"""Straight scales, outlines and tilts in a photograph row by row.

Numbers: similar triangles and the shoelace formula, worked by hand; uncertainties by the law of
propagation (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import math

import pytest

from findings.calculations.fields import BadInput
from findings.calculations.photo_assumptions import STRAIGHT_WARNING
from findings.calculations.registry import calculate

LENGTHS = {"object_px": 400.0, "reference_px": 1000.0, "reference_mm": 50.0}
# 100 by 50 px: corners whose neighbors lie the diagonal apart.
BOX = [[0, 0], [100, 0], [100, 50], [0, 50]]
TWO_SIDED = 1.959963985  # standard normal distribution, 0.975


def outcome(**inputs):
    return calculate("photo_scale", inputs).outcome


def limits(value, u, tilt):
    cosine = math.cos(math.radians(tilt))
    return (
        pytest.approx(max(value - TWO_SIDED * u, 0) * cosine, rel=1e-4),
        pytest.approx((value + TWO_SIDED * u) / cosine, rel=1e-4),
    )


@pytest.mark.parametrize(
    ("more", "click", "scale", "tilt"),
    [
        ({}, 1, 0.1, 50),
        ({"click_error_px": 3}, 3, 0.1, 50),
        ({"reference_error_mm": 2}, 1, 2, 50),
        ({"tilt_up_to_deg": 7.5}, 1, 0.1, 7.5),
        ({"tilt_up_to_deg": 0, "click_error_px": 0, "reference_error_mm": 0}, 0, 0, 0),
    ],
)
def test_the_whole_answer_of_a_straight_scale(more, click, scale, tilt):
    found = outcome(**LENGTHS, **more)
    u = math.hypot(click * math.sqrt(2) * 0.05, click * math.sqrt(2) * 0.02, scale * 0.4)
    assert found.fields == {
        "length_mm": pytest.approx(20),
        "px_per_mm": 20,
        "u_length_mm": pytest.approx(u),
    }
    assert (found.value, found.unit) == (pytest.approx(20), "mm")
    assert (found.interval.low, found.interval.high) == limits(20, u, tilt)
    assert found.interval.meaning == (
        f"limits, not 95 %: a tilt of up to {tilt:g} degrees, scale right beside the object"
    )
    assert found.warnings == (STRAIGHT_WARNING.format(tilt=f"{tilt:g}"),)


def test_a_length_within_its_error_may_be_nothing():
    found = outcome(**{**LENGTHS, "object_px": 1.0})
    assert found.interval.low == 0
    assert outcome(**{**LENGTHS, "object_px": 0.0}).value == 0


@pytest.mark.parametrize("name", LENGTHS)
def test_a_length_is_not_negative(name):
    with pytest.raises(BadInput) as caught:
        outcome(**{**LENGTHS, name: -0.1})
    assert (caught.value.field, caught.value.message) == (name, "must not be negative")


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("reference_px", "the reference has no length in pixels"),
        ("reference_mm", "the reference has no length in mm"),
    ],
)
def test_a_reference_has_a_length(name, reason):
    found = outcome(**{**LENGTHS, name: 0.0})
    assert found.reason == reason
    assert found.fields["length_mm"] is None
    assert outcome(**{**LENGTHS, name: 0.5}).reason is None


@pytest.mark.parametrize(("tilt", "cosine"), [(0, 1), (60, 0.5), (90, 0)])
def test_a_tilt_shortens_by_its_cosine(tilt, cosine):
    found = outcome(tilt_deg=tilt)
    assert found.fields == {
        "cos": pytest.approx(cosine, abs=1e-12),
        "apparent_shortening_percent": pytest.approx(100 * (1 - cosine)),
    }
    assert (found.value, found.unit) == (pytest.approx(100 * (1 - cosine)), "%")
    assert found.warnings == ("for a distant camera and a length along the tilt",)


@pytest.mark.parametrize(("more", "click"), [({}, 1), ({"click_error_px": 4}, 4)])
def test_the_whole_answer_of_an_outline(more, click):
    found = outcome(polygon_px=BOX, px_per_mm=2.0, **more)
    # Four corners, each with half the diagonal as its derivative.
    u = click * math.sqrt(4 * (100**2 + 50**2)) / 2 / 4
    assert found.fields == {"area_mm2": pytest.approx(1250), "u_area_mm2": pytest.approx(u)}
    assert (found.value, found.unit) == (pytest.approx(1250), "mm2")
    assert (found.interval.low, found.interval.high) == limits(1250, u, 50)
    assert found.warnings == (STRAIGHT_WARNING.format(tilt="50"),)


def test_an_outline_has_three_points_or_more_and_does_not_cross_itself():
    three = outcome(polygon_px=BOX[:3], px_per_mm=1)
    assert three.value == pytest.approx(2500)
    # The neighbors of each corner lie the opposite side apart.
    u = math.sqrt(100**2 + 50**2 + (100**2 + 50**2)) / 2
    assert three.fields["u_area_mm2"] == pytest.approx(u)
    around = [[100 * math.cos(n / 100 * math.pi), 100 * math.sin(n / 100 * math.pi)]
              for n in range(200)]  # fmt: skip
    assert outcome(polygon_px=around, px_per_mm=1).value == pytest.approx(
        100 * 100**2 * math.sin(math.pi / 100)
    )
    with pytest.raises(BadInput, match="must have 3 to 200 points"):
        outcome(polygon_px=[*around, [99, 0]], px_per_mm=1)
    with pytest.raises(BadInput) as caught:
        outcome(polygon_px=BOX[:2], px_per_mm=1)
    assert caught.value.field == "polygon_px"
    assert caught.value.message.startswith("must have 3 to ")
    crossed = outcome(polygon_px=[BOX[0], BOX[2], BOX[1], BOX[3]], px_per_mm=1)
    assert crossed.reason == "the outline crosses itself"
    assert crossed.fields["area_mm2"] is None


def test_a_scale_has_a_pixel_a_meter_at_least():
    assert outcome(polygon_px=BOX, px_per_mm=0.001).reason is None
    none = outcome(polygon_px=BOX, px_per_mm=0.00099)
    assert none.reason == "the scale has no pixels per mm"
    assert none.fields["area_mm2"] is None


POINTS = [[0, 0], [1, 0]]


def test_lists_of_points_are_measured_in_their_plane():
    # A card of 100 by 50 mm seen square on at one pixel a millimeter.
    found = outcome(object_px=[[10, 10], [40, 50]], reference_px=BOX, reference_mm=BOX)
    assert found.value == pytest.approx(50)


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({}, "object_px", "is required, or polygon_px, or tilt_deg"),
        ({"tilt_deg": 1, "polygon_px": BOX}, "polygon_px",
         "give only one of: tilt_deg, polygon_px"),
        ({**LENGTHS, "tilt_deg": 1, "polygon_px": BOX}, "object_px",
         "give only one of: tilt_deg, polygon_px, object_px"),
        ({**LENGTHS, "tilt_deg": 1}, "object_px", "give only one of: tilt_deg, object_px"),
        ({**LENGTHS, "object_px": POINTS}, "reference_px",
         "give three lengths, or three lists of points"),
        ({**LENGTHS, "reference_px": POINTS}, "reference_px",
         "give three lengths, or three lists of points"),
        ({**LENGTHS, "reference_mm": POINTS}, "reference_px",
         "give three lengths, or three lists of points"),
    ],
)  # fmt: skip
def test_one_way_of_measuring_is_given_whole(inputs, field, words):
    with pytest.raises(BadInput) as caught:
        outcome(**inputs)
    assert (caught.value.field, caught.value.message) == (field, words)
