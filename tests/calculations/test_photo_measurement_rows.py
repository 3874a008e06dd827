"""Measuring picked points row by row: answers whole, refusals in words, both sides of each limit.

Views square on are worked by hand; tilted ones by `solved`, eight equations for four points.
Uncertainties by the law of propagation (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from findings.calculations import photo_measurement as method
from findings.calculations.photo_measurement import (
    Answer,
    Errors,
    MeasureKind,
    Quantity,
    Scale,
    measure,
    transform_of,
)
from tests.calculations.by_hand import angle, area, around, length, near, two_points, uncertainty

KINDS = list(MeasureKind)
SIZE = (1200, 900)
# A card of 40 mm seen square on at 5 px a millimeter, its middle known as well.
KNOWN = np.array([[0.0, 0.0], [40, 0], [40, 40], [0, 40], [20, 20]])
FOUR, FIVE = (Scale(KNOWN[:n] * 5 + 400, KNOWN[:n]) for n in (4, 5))
LINE = np.array([[420.0, 460.0], [560.0, 460.0]])
BOX = np.array([[450.0, 450.0], [550, 450], [550, 500], [450, 500]])
CORNER = np.array([[500.0, 450.0], [450, 450], [450, 550]])
FIT = "four points always fit: pick a fifth to check the scale"
INTERVAL = "95 %, 1.96 u, linear propagation"


def by_hand(scale: Scale, points: np.ndarray, size: Any, errors: Errors) -> float:
    """The standard uncertainty of one size: plain differences over every reading."""
    n = scale.picture.size
    at = np.concatenate([scale.picture.ravel(), scale.known.ravel(), points.ravel()])
    own = np.full(len(at), errors.click_px)
    own[n : 2 * n] = errors.scale_mm

    def measured(readings: np.ndarray) -> float:
        picture, known, rest = np.split(readings.reshape(-1, 2), [n // 2, n])
        flat = np.column_stack([rest, np.ones(len(rest))]) @ transform_of(picture, known).T
        return float(size(flat[:, :2] / flat[:, 2:]))

    return uncertainty(measured, at, own)


@pytest.mark.parametrize(
    ("kind", "points", "sizes"),
    [
        (MeasureKind.LENGTH, LINE, [("length", "mm", 28, length)]),
        (MeasureKind.POLYLINE, CORNER,
         [("length", "mm", 30, lambda mm: math.dist(mm[0], mm[1]) + math.dist(mm[1], mm[2]))]),
        (MeasureKind.AREA, BOX, [("area", "mm2", 200, area), ("perimeter", "mm", 60, around)]),
        (MeasureKind.ANGLE, CORNER, [("angle", "deg", 90, angle)]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("errors", [None, Errors(2.0, 0.5)])
def test_the_whole_answer_of_each_kind(
    kind: MeasureKind, points: np.ndarray, sizes: list[Any], errors: Errors | None
) -> None:
    found = measure(kind, FIVE, points, errors=errors, picture_size=SIZE)
    quantities = []
    for name, unit, value, size in sizes:
        u = by_hand(FIVE, points, size, errors or Errors())
        high = value + 1.96 * u
        low = max(value - 1.96 * u, 0)
        quantities.append(near(Quantity(name, unit, value, u, low, high)))
    assert found == Answer(
        tuple(quantities), residual_mm=pytest.approx(0, abs=1e-9), interval=INTERVAL
    )


def test_what_is_not_said_is_one_pixel_a_tenth_fifty_degrees_and_five_millimeters() -> None:
    # Common practice for a click; the rest is the method's own choice, as its docstring says.
    assert Errors() == Errors(1.0, 0.1, 50.0, 5.0, (0.6, 8.0))


def test_an_angle_ends_at_a_straight_one_and_a_length_nowhere() -> None:
    flat = np.array([[450.0, 500.0], [500, 500.5], [550, 500]])
    (found,) = measure(MeasureKind.ANGLE, FOUR, flat, errors=Errors(4.0)).quantities
    assert (found.high, found.most) == (180.0, 180.0)
    assert found.low < found.value < 180
    near_nothing = np.array([[450.0, 500.0], [451, 500]])
    (short,) = measure(MeasureKind.LENGTH, FOUR, near_nothing, errors=Errors(4.0)).quantities
    assert (short.low, short.most) == (0.0, math.inf)


# Refusals.
NO_SCALE = "no scale: pick the scale's points first"
NOT_IN_PLANE = "the scale does not lie in the plane of what is measured: no size can be given"
SAME_ENDS = "no scale: its two ends are the same point"


@pytest.mark.parametrize(
    ("scale", "in_plane", "reason"),
    [
        (None, True, NO_SCALE),
        (Scale(KNOWN[:1], KNOWN[:1]), True, NO_SCALE),
        (None, False, NO_SCALE),
        (FOUR, False, NOT_IN_PLANE),
        (two_points(100, 10), False, NOT_IN_PLANE),
        (Scale(KNOWN[:3], KNOWN[:3]), True,
         "fewer than four reference points: a plane needs four, no three in line"),
        (two_points(0.99, 10), True, SAME_ENDS),
        (two_points(100, 0), True, SAME_ENDS),
        (two_points(100, 10), True, ""),
        (FOUR, True, ""),
    ],
)  # fmt: skip
def test_a_scale_that_is_none_says_why(scale: Scale | None, in_plane: bool, reason: str) -> None:
    line = np.array([[510.0, 440], [540, 440]])
    found = measure(
        MeasureKind.LENGTH, scale, line, errors=Errors(tilt_deg=5), scale_in_plane=in_plane,
        picture_size=SIZE,
    )  # fmt: skip
    assert found.refusal == reason
    if reason:
        assert found == Answer(refusal=reason)


def test_a_straight_scale_of_one_pixel_and_any_length_is_one() -> None:
    assert method._scale_refusal(two_points(1.0, 0.01), in_plane=True) == ""


FOUR_OF = np.array([[450.0, 450], [550, 450], [550, 500], [450, 500]])
CROSSED = FOUR_OF[[0, 2, 1, 3]]
LEGS = "an angle needs two legs: two of its points are the same"
SAME = "all points are the same"


@pytest.mark.parametrize(
    ("kind", "points", "reason"),
    [
        (MeasureKind.LENGTH, FOUR_OF[:1], "pick 2 points of what is measured"),
        (MeasureKind.LENGTH, FOUR_OF[:3], "pick 2 points of what is measured"),
        (MeasureKind.POLYLINE, FOUR_OF[:1], "pick 2 to 200 points of what is measured"),
        (MeasureKind.POLYLINE, np.tile(FOUR_OF, (51, 1))[:201],
         "pick 2 to 200 points of what is measured"),
        (MeasureKind.POLYLINE, np.tile(FOUR_OF, (50, 1)), ""),
        (MeasureKind.AREA, FOUR_OF[:2], "pick 3 to 200 points of what is measured"),
        (MeasureKind.ANGLE, FOUR_OF[:2], "pick 3 points of what is measured"),
        (MeasureKind.ANGLE, FOUR_OF[[0, 0, 1]], LEGS),
        (MeasureKind.ANGLE, FOUR_OF[[0, 1, 1]], LEGS),
        (MeasureKind.ANGLE, FOUR_OF[[0, 1, 0]], ""),
        (MeasureKind.AREA, FOUR_OF[[0, 0, 1]], ""),
        (MeasureKind.AREA, FOUR_OF[[0, 1, 1]], ""),
        (MeasureKind.LENGTH, FOUR_OF[[0, 0]], SAME),
        (MeasureKind.AREA, FOUR_OF[[0, 0, 0]], SAME),
        (MeasureKind.AREA, CROSSED, "the outline crosses itself"),
        (MeasureKind.AREA, FOUR_OF, ""),
        (MeasureKind.POLYLINE, CROSSED, ""),
    ],
)  # fmt: skip
def test_points_that_measure_nothing_say_why(
    kind: MeasureKind, points: np.ndarray, reason: str
) -> None:
    assert method._points_refusal(kind, points) == reason
    if reason:
        assert measure(kind, FOUR, points) == Answer(refusal=reason)


# The card lies from 400 to 600 px; once and twice its extent beside it.
OUTSIDE = "outside the scale's points: the error grows quickly there"
FAR = "far outside the scale: the plane cannot be carried on that far"


@pytest.mark.parametrize(
    ("away", "warned", "refused"),
    [(0.499, False, False), (0.501, True, False), (1.999, True, False), (2.001, True, True)],
)
def test_outside_the_scale_is_warned_of_and_then_refused(
    away: float, warned: bool, refused: bool
) -> None:
    for at in ((600 + 200 * away, 500), (400 - 200 * away, 500), (500, 600 + 200 * away),
               (500, 400 - 200 * away)):  # fmt: skip
        for line in (np.array([[500.0, 510.0], at]), np.array([at, [500.0, 510.0]])):
            found = measure(MeasureKind.LENGTH, FIVE, line)
            assert found.refusal == (FAR if refused else "")
            assert found.warnings == ((OUTSIDE,) if warned and not refused else ())


def test_the_longer_side_of_a_scale_is_its_extent_wherever_its_zero_is() -> None:
    flat = np.array([[0.0, 0], [40, 0], [40, 10], [0, 10]])
    for zero in ((0, 0), (-30, 90), (90, -30)):
        scale = Scale(flat * 5 + 400, flat + zero)
        for below, warned in ((0.49, False), (0.51, True)):
            for y in (450 + 200 * below, 400 - 200 * below):
                line = np.array([[500.0, 420.0], [500.0, y]])
                assert (OUTSIDE in measure(MeasureKind.LENGTH, scale, line).warnings) is warned


def test_a_point_beyond_the_horizon_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    tilted = Scale(np.array([[400.0, 400], [600, 400], [560, 500], [440, 500]]), KNOWN[:4])
    # The two sides run together 250 px below; there the plane ends.
    for y, beyond in ((649, False), (651, True)):
        line = np.array([[500.0, 420.0], [500.0, y]])
        reason, _ = method._place(tilted, transform_of(tilted.picture, tilted.known), line)
        assert (reason == "a point lies beyond the horizon of the scale's plane") is beyond
    for depth in ([1.0, math.nan], [0.0, 1.0], [-1.0, 0.0], [1.0, -1.0]):
        monkeypatch.setattr(method.plane, "depths", lambda *_, depth=depth: np.array(depth))
        found = measure(MeasureKind.LENGTH, FOUR, LINE)
        assert found == Answer(refusal="a point lies beyond the horizon of the scale's plane")


def test_points_without_a_usable_plane_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        raise np.linalg.LinAlgError

    undetermined = Answer(refusal="the scale's points do not determine a plane")
    for name in ("homography", "mapped", "propagated"):
        with monkeypatch.context() as patched:
            patched.setattr(method.plane, name, none)
            assert measure(MeasureKind.LENGTH, FOUR, LINE) == undetermined
    unusable = Answer(refusal="the points do not determine a usable plane")
    with monkeypatch.context() as patched:
        patched.setattr(method.plane, "propagated", lambda *_: math.inf)
        assert measure(MeasureKind.LENGTH, FOUR, LINE) == unusable
    with monkeypatch.context() as patched:
        patched.setitem(method.QUANTITIES, MeasureKind.LENGTH, (("x", "mm", lambda _: math.nan),))
        patched.setattr(method.plane, "propagated", lambda *_: 1.0)
        assert measure(MeasureKind.LENGTH, FOUR, LINE) == unusable


# Residuals: five points, one moved; 10 readings, of which the transform uses up 8.
def moved(miss_px: float) -> Scale:
    picture = KNOWN * 5 + 400
    picture[4] += (miss_px, 0)
    return Scale(picture, KNOWN)


def residual(scale: Scale, errors: Errors) -> tuple[float, float]:
    """How far the points miss, and that over what the errors explain."""
    flat = np.column_stack([scale.picture, np.ones(5)])
    flat = flat @ transform_of(scale.picture, scale.known).T
    miss = flat[:, :2] / flat[:, 2:] - scale.known
    rms = math.sqrt(sum(math.hypot(*one) ** 2 for one in miss) / 5)
    spans = [
        sum(math.dist(one, points.mean(axis=0)) for one in points) / 5
        for points in (scale.known, scale.picture)
    ]
    one = math.hypot(errors.click_px * spans[0] / spans[1], errors.scale_mm)
    return rms, rms / (one * math.sqrt(2 * (10 - 8) / 10))


BADLY = "the scale's points fit one plane badly: look at them again"


@pytest.mark.parametrize("errors", [Errors(1.0, 0.1), Errors(0.5, 0.4), Errors(0.0, 0.3)])
@pytest.mark.parametrize("limit", [2.5, 4.0])
def test_a_residual_is_said_widens_and_is_refused(errors: Errors, limit: float) -> None:
    low, high = 0.0, 90.0
    for _ in range(50):
        middle = (low + high) / 2
        over = residual(moved(middle), errors)[1] > limit
        low, high = (low, middle) if over else (middle, high)
    for miss, over in ((low - 0.01, False), (high + 0.01, True)):
        rms, ratio = residual(moved(miss), errors)
        found = measure(MeasureKind.LENGTH, moved(miss), LINE, errors=errors)
        assert found.residual_mm == pytest.approx(rms)
        if limit == 4.0 and over:
            assert found == Answer(
                refusal=f"the scale's points do not fit one plane: they miss by {rms:.1f} mm "
                "(rms). Pick them again, or leave out the one that is wrong",
                residual_mm=pytest.approx(rms),
            )
            continue
        assert found.warnings == ((BADLY,) if over or limit == 4.0 else ())
        u = by_hand(moved(miss), LINE, length, errors)
        assert found.quantities[0].u == pytest.approx(ratio * u, rel=1e-4)


def test_a_scale_without_error_either_fits_or_does_not() -> None:
    exact = Errors(0.0, 0.0)
    for miss_px, refused in ((0.0, False), (1e-9, False), (0.01, True)):
        found = measure(MeasureKind.LENGTH, moved(miss_px), LINE, errors=exact)
        assert bool(found.refusal) is refused
        assert refused or found.quantities[0].u == pytest.approx(0, abs=1e-12)
    assert method._residual(FOUR, transform_of(*(FOUR.picture, FOUR.known)), exact) == (None, 0.0)


# Cautions.
CLOSE = "points very close together: picking errors make a line longer"
EDGE = "near the picture's edge: the lens may distort there"


@pytest.mark.parametrize(
    ("step", "count", "click", "said"),
    [(9.9, 4, 1, True), (10.1, 4, 1, False), (9.9, 3, 1, False), (9.9, 2, 1, False),
     (9.9, 4, 0.9, False), (19.9, 5, 2, True)],
)  # fmt: skip
def test_points_close_together_are_said(step: float, count: int, click: float, said: bool) -> None:
    steps = np.array([[450.0 + 30 * n, 500] for n in range(count)])
    steps[-1] = steps[-2] + (step * 0.6, step * 0.8)
    found = measure(MeasureKind.POLYLINE if count != 2 else MeasureKind.LENGTH, FIVE, steps,
                    errors=Errors(click))  # fmt: skip
    assert (CLOSE in found.warnings) is said


@pytest.mark.parametrize(("share", "said"), [(0.749, False), (0.751, True)])
def test_the_edge_of_the_picture_is_said_of_points_and_scale(share: float, said: bool) -> None:
    for direction in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
        corner = (np.array(SIZE) / 2) * (1 + share * np.array(direction))
        inward = -np.array(direction, float)
        by_point = np.array([corner, corner + 60 * inward])
        card = Scale((KNOWN - 20) * 5 + corner + 160 * inward, KNOWN)
        assert (EDGE in measure(MeasureKind.LENGTH, card, by_point, picture_size=SIZE).warnings
                ) is said  # fmt: skip
        assert EDGE not in measure(MeasureKind.LENGTH, card, by_point).warnings
        # The corner of the card that lies farthest out, and a line well inside.
        turned = KNOWN * np.array(direction) * -1
        at_corner = Scale(turned * 5 + corner, turned)
        inside = np.array([corner + 50 * inward, corner + 90 * inward])
        found = measure(MeasureKind.LENGTH, at_corner, inside, picture_size=SIZE)
        assert (EDGE in found.warnings) is said


def test_four_points_are_said_to_fit_always() -> None:
    assert measure(MeasureKind.LENGTH, FOUR, LINE, picture_size=SIZE).warnings == (FIT,)
    assert measure(MeasureKind.LENGTH, FOUR, LINE).residual_mm is None
