"""Both sides of each limit of the method: residual, distance from the scale, edge, few points."""

from __future__ import annotations

import numpy as np
import pytest

from findings.calculations import photo_measurement as method
from findings.calculations.photo_measurement import Errors, MeasureKind, Scale, measure

SIZE = (1200, 900)
KNOWN = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [0.0, 40.0], [20.0, 20.0]])
LINE = np.array([[420.0, 460.0], [560.0, 460.0]])


def by_five(miss_px: float) -> method.Answer:
    """A square of 200 px for 40 mm with its middle, one point of it moved so far."""
    picture = KNOWN * 5 + 400
    picture[4] += (miss_px, 0)
    return measure(
        MeasureKind.LENGTH, Scale(picture, KNOWN), LINE, errors=Errors(1.0, 0.0), picture_size=SIZE
    )


def ratio_at(miss_px: float) -> float:
    """The residual over what the errors explain, written out again: 10 readings, 8 used up."""
    found = by_five(miss_px)
    explained_mm = 0.2 * np.sqrt(2 * (10 - 8) / 10)
    # The spans' quotient takes the moved point in: a fifth of a percent at most.
    return float(found.residual_mm / explained_mm)


def miss_for(ratio: float) -> float:
    """The shift that gives this ratio, by halving."""
    low, high = 0.0, 60.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if ratio_at(middle) < ratio else (low, middle)
    return low


def test_a_residual_is_warned_about_from_two_and_a_half_and_refused_from_four():
    badly = "fit one plane badly"
    just = miss_for(2.5)
    assert not any(badly in one for one in by_five(0.96 * just).warnings)
    assert any(badly in one for one in by_five(1.04 * just).warnings)
    just = miss_for(4.0)
    assert by_five(0.96 * just).refusal == ""
    assert "do not fit one plane" in by_five(1.04 * just).refusal


def test_a_residual_widens_the_interval_by_its_ratio():
    fitting, off = by_five(0.0).quantities[0], by_five(miss_for(3.0)).quantities[0]
    assert off.u / fitting.u == pytest.approx(3.0, rel=0.05)


def test_a_scale_of_no_error_that_misses_is_refused():
    picture = KNOWN * 5 + 400
    picture[4] += (1, 0)
    exact = Errors(0.0, 0.0)
    found = measure(MeasureKind.LENGTH, Scale(picture, KNOWN), LINE, errors=exact)
    assert "do not fit one plane" in found.refusal
    whole = measure(MeasureKind.LENGTH, Scale(KNOWN * 5 + 400, KNOWN), LINE, errors=exact)
    assert whole.refusal == ""


@pytest.mark.parametrize(
    ("away", "warned", "refused"), [(1.9, False, False), (2.1, True, False), (5.9, True, False),
                                    (6.1, True, True)],
)  # fmt: skip
def test_far_from_a_straight_scale_is_warned_about_and_then_refused(away, warned, refused):
    scale = Scale(np.array([[500.0, 450.0], [600.0, 450.0]]), np.array([[0.0, 0.0], [10.0, 0.0]]))
    x = 550 + 100 * away
    line = np.array([[x, 450.0], [x - 80, 450.0]])
    found = measure(
        MeasureKind.LENGTH, scale, line, errors=Errors(tilt_deg=2, depth_mm=0),
        picture_size=(4000, 3000),
    )  # fmt: skip
    assert ("too far from the scale" in found.refusal) == refused
    if not refused:
        assert any("far from the scale" in one for one in found.warnings) == warned


def test_four_points_say_that_they_always_fit_and_five_do_not():
    four = measure(MeasureKind.LENGTH, Scale(KNOWN[:4] * 5 + 400, KNOWN[:4]), LINE)
    assert any("four points always fit" in one for one in four.warnings)
    assert four.residual_mm is None
    assert not any("always fit" in one for one in by_five(0).warnings)
    assert by_five(0).residual_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("share", "warned"), [(0.74, False), (0.76, True)])
def test_near_the_pictures_edge_is_warned_about(share, warned):
    corner = np.array(SIZE) / 2 * (1 + share)
    scale = Scale(KNOWN * 5 + 600, KNOWN)
    line = np.vstack([corner, corner - 60])
    found = measure(MeasureKind.LENGTH, scale, line, picture_size=SIZE)
    assert any("picture's edge" in one for one in found.warnings) == warned
