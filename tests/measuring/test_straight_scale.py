"""A straight scale in a tilted picture: its limits hold the truth, or it gives none.

`tilted` draws the scenes; `python -m tests.measuring.tilted` prints the whole table.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from PIL import ExifTags, Image

from evidence.imaging.exif import facts_from
from findings.calculations import straight_scale
from findings.calculations.photo_measurement import Errors, MeasureKind, Scale, measure
from findings.calculations.plane_geometry import polygon_area
from tests.measuring import tilted
from tests.measuring.scenes import SIZE, Camera

ENDS_MM = np.array([[0.0, 0.0], [50.0, 0.0]])


@pytest.fixture(scope="module")
def counts():
    return tilted.by_band(np.random.default_rng(41), 300)


@pytest.mark.parametrize("band", tilted.BANDS)
def test_the_limits_hold_the_truth_at_every_tilt_up_to_the_stated_one(counts, band):
    for way in tilted.WAYS:
        count = counts[way][band]
        assert count.held >= 0.95 * count.answered, (way, band)
    beside, stated = counts[tilted.WAYS[1]][band], counts[tilted.WAYS[0]][band]
    assert beside.answered >= (0.9 if band[1] <= 30 else 0.1) * beside.scenes
    assert stated.answered <= beside.answered


def test_what_people_do_wrong_stays_within_the_limits_but_for_a_tilt_that_was_denied():
    found = tilted.done_wrong(np.random.default_rng(42), 120)
    *within, denied, not_denied = (found[name] for name in tilted.WRONG)
    for count in (*within, not_denied):
        assert count.held >= 0.95 * count.answered
    # Nothing in two points shows it: the warning names the tilt with every size.
    assert denied.share < 0.95
    one = tilted.scene(np.random.default_rng(1), 30)
    assert "up to 20 degrees, and not beyond" in one.answer(20.0).warnings[0]


def test_wilsons_limits_are_those_of_a_published_example():
    # Newcombe RG. Stat Med 1998;17:857-872, table I, method 3: 81 of 263 (source not checked).
    assert tilted.wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)


@pytest.mark.parametrize("kind", list(MeasureKind))
def test_every_kind_of_quantity_is_held_from_a_view_that_is_known_exactly(kind):
    rng = np.random.default_rng(7)
    answered = 0
    for _ in range(120):
        # Two turns of up to 20 degrees are a tilt of up to 28.
        camera = Camera(*rng.uniform([-20, -20, -180], [20, 20, 180]), away=rng.uniform(300, 700),
                        target=(25, 15))  # fmt: skip
        about = np.sort(rng.uniform(0, 2 * math.pi, 5))
        outline = np.array([25, 20]) + 14 * np.column_stack([np.cos(about), np.sin(about)])
        points = outline[: {MeasureKind.LENGTH: 2, MeasureKind.ANGLE: 3}.get(kind, 5)]
        answer = measure(
            kind,
            Scale(camera.seen(ENDS_MM), ENDS_MM),
            camera.seen(points),
            errors=Errors(0.01, 0.001, 28.0, 0.0),
            picture_size=SIZE,
        )
        if answer.refusal:
            continue
        answered += 1
        true = {
            "length": float(np.hypot(*np.diff(points, axis=0).T).sum()),
            "area": polygon_area(points),
            "perimeter": float(np.hypot(*(points - np.roll(points, -1, axis=0)).T).sum()),
            "angle": _angle(points) if kind is MeasureKind.ANGLE else math.nan,
        }
        for quantity in answer.quantities:
            assert quantity.low <= true[quantity.name] <= quantity.high, quantity
    # Nearly straight angles and thin outlines are refused: their limits lie too far apart.
    assert answered >= 60


def _angle(points) -> float:
    one, two = points[0] - points[1], points[2] - points[1]
    cosine = one @ two / np.hypot(*one) / np.hypot(*two)
    return math.degrees(math.acos(np.clip(cosine, -1, 1)))


def at(place, **errors):
    """A line of 300 px (30 mm) at a place, beside a scale of 50 mm at 10 px a millimeter."""
    scale = Scale(np.array([[350.0, 500.0], [850.0, 500.0]]), ENDS_MM)
    return measure(
        MeasureKind.LENGTH,
        scale,
        np.array(place, float),
        errors=Errors(1.0, 0.1, **errors),
        picture_size=SIZE,
    )


def test_a_line_along_the_scale_has_narrower_limits_than_one_across_it():
    along = at([[450, 440], [750, 440]], tilt_deg=20).quantities[0]
    across = at([[600, 250], [600, 550]], tilt_deg=20).quantities[0]
    assert (along.value, across.value) == (pytest.approx(30), pytest.approx(30))
    assert along.high - along.low < 0.6 * (across.high - across.low)
    # From afar the limits are those of foreshortening alone: 30 cos 20 to 30 / cos 20.
    afar = at([[600, 250], [600, 550]], tilt_deg=20, depth_mm=0.0, lens=(500.0, 1000.0))
    low, high = straight_scale.outward(
        (30 * math.cos(math.radians(20)), 30 / math.cos(math.radians(20))),
        30, 1.96 * afar.quantities[0].u, 1,
    )  # fmt: skip
    assert afar.quantities[0].low == pytest.approx(low, rel=2e-3)
    assert afar.quantities[0].high == pytest.approx(high, rel=2e-3)


@pytest.mark.parametrize("wider", [{"tilt_deg": 25.0}, {"depth_mm": 20.0}, {"lens": (0.6, 8.0)}])
def test_whatever_is_less_known_makes_the_limits_wider(wider):
    known = {"tilt_deg": 20.0, "depth_mm": 5.0, "lens": (1.0, 8.0)}
    line = [[600, 250], [600, 550]]
    narrow, wide = at(line, **known).quantities[0], at(line, **known | wider).quantities[0]
    assert wide.low < narrow.low
    assert wide.high > narrow.high


def test_limits_too_far_apart_are_no_size():
    line = [[600, 100], [600, 850]]
    assert "straight scale cannot say" in at(line).refusal
    assert at(line).quantities == ()
    assert at(line, tilt_deg=10).refusal == ""
    scale = Scale(np.array([[350.0, 500.0], [850.0, 500.0]]), ENDS_MM)
    lacking = measure(MeasureKind.LENGTH, scale, np.array(line, float))
    assert "needs the picture's width" in lacking.refusal


def test_the_lens_that_the_camera_named_narrows_only_the_short_end():
    assert straight_scale.lens_of(None, SIZE) == straight_scale.ANY_LENS
    for nonsense in (7, 2001):
        assert straight_scale.lens_of(nonsense, SIZE) == straight_scale.ANY_LENS
    # On 36 x 24 mm the focal length is its own equivalent: 36 mm is once the longer side.
    shortest, longest = straight_scale.lens_of(36, (3600, 2400))
    assert shortest == pytest.approx(0.9)
    assert longest == straight_scale.ANY_LENS[1]
    assert straight_scale.lens_of(2000, (3600, 2400))[0] == straight_scale.ANY_LENS[1]


@pytest.mark.parametrize(("named", "kept"), [(26, 26), (7, None), (2001, None), ("26", None)])
def test_the_lens_is_read_from_what_the_camera_wrote(named, kept):
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = named
    assert facts_from(exif).get("focal_35mm") == kept


def test_the_lens_goes_by_the_pictures_diagonal():
    # 4000 x 3000 px has a diagonal of 5000; that of 36 x 24 mm is 43.27 mm.
    shortest, _ = straight_scale.lens_of(26, (4000, 3000))
    assert shortest == pytest.approx(0.9 * 26 / 43.2666 * 5000 / 4000, rel=1e-4)


def test_picking_moves_a_length_by_its_share_and_an_angle_by_degrees():
    assert straight_scale.outward((20.0, 40.0), 30.0, 3.0, 1) == pytest.approx((18.0, 44.0))
    assert straight_scale.outward((20.0, 40.0), 30.0, 3.0, 0) == pytest.approx((17.0, 43.0))


def test_a_view_so_flat_that_sizes_run_away_has_no_limits():
    ends, line = np.array([[20.0, 20.0], [70.0, 20.0]]), np.array([[20.0, 60.0], [60.0, 60.0]])
    for tilt, none in ((50.0, True), (5.0, False)):
        views = straight_scale.Views(tilt, 5.0)
        found = straight_scale.limits(
            straight_scale.lengths, 1, (ends, 50.0), line, (1200, 900), views
        )
        assert (found is None) == none


def test_a_mirrored_picture_has_the_same_limits():
    views = straight_scale.Views(20.0, 5.0)
    ends, line = np.array([[350.0, 500.0], [850.0, 500.0]]), np.array([[200.0, 250.0], [500, 350]])
    across = np.array([[-1.0, 1.0]])
    found = [
        straight_scale.limits(straight_scale.lengths, 1, (one, 50.0), other, SIZE, views)
        for one, other in (
            (ends, line),
            (ends * across + [SIZE[0], 0], line * across + [SIZE[0], 0]),
        )
    ]
    assert found[0] == pytest.approx(found[1], rel=1e-9)


def test_no_angle_is_beyond_a_straight_one():
    scale = Scale(np.array([[350.0, 500.0], [850.0, 500.0]]), ENDS_MM)
    nearly_straight = np.array([[400.0, 400.0], [600.0, 402.0], [800.0, 400.0]])
    (angle,) = measure(
        MeasureKind.ANGLE, scale, nearly_straight, errors=Errors(2.0, 0.1, 10.0), picture_size=SIZE
    ).quantities
    assert angle.value <= angle.high <= 180.0
