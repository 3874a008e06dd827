"""A mark that is placed by words: which region is meant, what is drawn, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from findings.body.picking import pick
from findings.body.regions import REGIONS
from findings.body.surface_points import extent
from findings.body.views import BODIES
from findings.chart.by_words import PlaceRefused, Said, mark_by_words, region_named
from findings.chart.placing import middle, placed_by_mark
from findings.rules import MarkKind

LENGTH = 171.0


def lying(key: str, *said: Any, body: str = "adult_male", length: float = LENGTH) -> Said:
    """A mark at the middle height of its region, or in the middle of one across the midline."""
    low, high, _, _ = extent(body, key)
    height = round((low + high) / 2 * length / 1000, 1)
    return replace(Said(key, *said), above_heel_cm=height)


def refused(said: Said, length: float | None = LENGTH, **more: Any) -> tuple[str, str, bool]:
    with pytest.raises(PlaceRefused) as why:
        mark_by_words("adult_male", length, said, **more)
    assert str(why.value) == why.value.message
    return why.value.field, why.value.message, why.value.has_nearest


def test_every_region_is_named_by_its_term_in_any_writing() -> None:
    for one in REGIONS.values():
        assert region_named(one.term) == one
        assert region_named(f"  {one.term.upper().replace(' ', '   ')} ") == one


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("right groin", "inguinal_r"),
        ("groin, left", "inguinal_l"),
        ("r temple", "temporal_scalp_r"),
        ("nape", "neck_posterior"),
        ("back of left hand", "hand_dorsum_l"),
    ],
)
def test_other_words_name_a_region_where_one_alone_fits(words: str, key: str) -> None:
    assert region_named(words).key == key


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("groin", "Say which side: left inguinal region, right inguinal region."),
        ("shin", "Say which side: left anterior leg, right anterior leg."),
        (
            "belly",
            "Several regions fit: left upper quadrant of abdomen, right upper quadrant of abdomen, "
            "left lower quadrant of abdomen, right lower quadrant of abdomen.",
        ),
        (
            "hand",
            "Many regions fit, among them left palm of hand, right palm of hand, left dorsum of "
            "hand, right dorsum of hand, left thumb, right thumb. Choose one.",
        ),
        ("tail", "No region is called “tail”. Choose one from the list."),
        ("left forehead", "No region is called “left forehead”. Choose one from the list."),
    ],
)
def test_words_that_name_no_one_region_are_refused_and_no_side_is_guessed(
    words: str, said: str
) -> None:
    with pytest.raises(PlaceRefused) as why:
        region_named(words)
    assert (why.value.field, why.value.message) == ("place_region", said)
    assert not why.value.has_nearest


def test_a_side_is_never_guessed_for_any_region() -> None:
    for one in REGIONS.values():
        if one.side == "midline":
            continue
        without = one.term.split(" ", 1)[1]
        with pytest.raises(PlaceRefused) as why:
            region_named(without)
        assert "left" in why.value.message and "right" in why.value.message, one.key


def test_measured_distances_come_back_in_cm() -> None:
    said = Said("inguinal_r", above_heel_cm=89.8, from_midline_cm=-8.6, midline="anterior")
    drawn = mark_by_words("adult_male", LENGTH, said)
    placed = placed_by_mark("adult_male", drawn.view, drawn.kind, drawn.points, LENGTH)
    assert placed is not None
    assert placed.region == "inguinal_r"
    assert placed.above_heel_cm == pytest.approx(89.8, abs=0.5)
    assert placed.from_midline_cm == pytest.approx(-8.6, abs=0.5)
    assert (placed.midline, drawn.note) == ("anterior", "")


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("side", ["l", "r"])
def test_lines_and_areas_keep_their_region_side_and_size(body: str, side: str) -> None:
    length = 60.0 if body == "infant" else 160.0
    for base in ("thigh_anterior", "back_upper", "abdomen_lower", "leg_posterior"):
        for kind, way in (("line", "head to foot"), ("line", "down to the left"), ("area", "")):
            size = (kind, 3.0, 1.5 if kind == "area" else None, way)
            said = lying(f"{base}_{side}", *size, body=body, length=length)
            drawn = mark_by_words(body, length, said)
            assert drawn.kind == kind
            corners = [(u, v) for u, v in drawn.points]
            found = pick(body, drawn.view, *middle(kind, corners))
            assert found is not None and found.region == f"{base}_{side}"
            assert drawn.note == ""
            # A tenth is finer than a pen, and the same number in the browser.
            assert corners == [(round(u, 1), round(v, 1)) for u, v in corners]
            long = max(math.dist(a, b) for a in corners for b in corners) * length / 1000
            assert long == pytest.approx(3.0, abs=0.1)
            if kind == "area":
                across = max(u for u, _ in corners) - min(u for u, _ in corners)
                assert across * length / 1000 == pytest.approx(1.5, abs=0.1)


@pytest.mark.parametrize(
    ("way", "to_the_left"), [("down to the left", 1), ("down to the right", -1)]
)
def test_a_slanting_line_runs_to_the_body_s_own_side_from_front_and_back(
    way: str, to_the_left: int
) -> None:
    for base in ("pectoral_r", "back_upper_l"):
        drawn = mark_by_words(
            "adult_female", LENGTH, lying(base, "line", 4.0, None, way, body="adult_female")
        )
        ends = [pick("adult_female", drawn.view, u, v) for u, v in drawn.points]
        assert ends[0] is not None and ends[1] is not None
        upper, lower = sorted((end.point for end in ends if end), key=lambda p: -p[2])
        assert (lower[0] - upper[0]) * to_the_left > 0


def test_what_reaches_beyond_the_drawing_is_drawn_smaller_and_that_is_told() -> None:
    drawn = mark_by_words(
        "adult_male", LENGTH, lying("thigh_anterior_l", "line", 25, None, "side to side")
    )
    assert "drawn smaller than it is" in drawn.note
    assert all(pick("adult_male", drawn.view, u, v) for u, v in drawn.points)


@pytest.mark.parametrize("way", ["down to the left", "down to the right", "head to foot"])
def test_an_oval_has_its_length_along_its_way_and_its_width_across(way: str) -> None:
    drawn = mark_by_words(
        "adult_male", 100.0, lying("abdomen_upper_r", "area", 4.0, 1.0, way, length=100.0)
    )
    corners = drawn.points
    pairs = list(zip(corners, corners[1:] + corners[:1], strict=True))
    inside = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2 / 100
    # Sixteen corners of an ellipse take in a little less than the ellipse.
    assert inside == pytest.approx(math.pi * 4.0 * 1.0 / 4, rel=0.04)
    assert max(math.dist(a, b) for a in corners for b in corners) == pytest.approx(40, abs=0.5)


def test_what_lies_where_it_was_said_is_told_for_the_back_too() -> None:
    for sign, side in ((1, "left"), (-1, "right")):
        key = f"back_upper_{side[0]}"
        said = Said(key, above_heel_cm=88.0, from_midline_cm=sign * 7.0, midline="posterior")
        assert f"lies on the drawing's {side} buttock." in refused(said)[1]


def test_an_area_without_a_width_is_round() -> None:
    drawn = mark_by_words("adult_male", LENGTH, lying("abdomen_upper_l", "area", 3.0))
    us, vs = [u for u, _ in drawn.points], [v for _, v in drawn.points]
    assert max(us) - min(us) == pytest.approx(max(vs) - min(vs), abs=0.3)


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        (
            replace(lying("inguinal_r"), from_midline_cm=8.6, midline="anterior"),
            "midline_where",
            "Right inguinal region does not lie left of the midline. Check the side.",
        ),
        (
            replace(lying("cheek_l"), from_midline_cm=-3.0, midline="anterior"),
            "midline_where",
            "Left cheek does not lie right of the midline. Check the side.",
        ),
        (
            Said("forehead"),
            "midline_where",
            "Forehead lies across the midline: say how far to the right or to the left, or that it "
            "is in the midline.",
        ),
        (
            replace(lying("buttock_l"), from_midline_cm=6.0, midline="anterior"),
            "midline_where",
            "Here the left buttock is measured from the posterior midline.",
        ),
        (
            lying("cheek_l", "line", None, None, "head to foot"),
            "place_length_cm",
            "Give the length of the mark.",
        ),
        (
            lying("thumb_l", "line", 60, None, "head to foot"),
            "place_length_cm",
            "Here the drawing does not show a mark of this size.",
        ),
        (Said("cheek_l", "area"), "place_length_cm", "Give the length of the mark."),
        (Said("cheek_l", "line", 2.0), "place_way", "Say which way the line runs."),
        (
            Said("sole_l", "line", 3.0, None, "down to the left", above_heel_cm=0.1),
            "place_way",
            "Here the drawing does not show this direction. Choose another.",
        ),
    ],
)
def test_what_cannot_be_placed_is_told_beside_its_field(said: Said, field: str, words: str) -> None:
    where, message, nearest = refused(said)
    assert (where, message, nearest) == (field, words, False)


def test_distances_beside_the_region_tell_its_reach_and_take_the_nearest_only_when_asked() -> None:
    said = Said("inguinal_r", above_heel_cm=121.0, from_midline_cm=-8.6, midline="anterior")
    field, message, nearest = refused(said)
    assert (field, nearest) == ("above_heel_cm", True)
    assert message == (
        "As drawn, the right inguinal region lies 87 to 98 cm above the heel and 4 to 14 cm right "
        "of the midline. What was said lies on the drawing's right lower chest (costal region)."
    )
    drawn = mark_by_words("adult_male", LENGTH, said, nearest=True)
    assert drawn.note == "Placed at the nearest spot of the region; the distances stay as measured."
    ((u, v),) = drawn.points
    found = pick("adult_male", drawn.view, u, v)
    assert found is not None
    assert (found.region, found.side) == ("inguinal_r", "right")
    # The side is refused all the same.
    wrong = Said("inguinal_r", above_heel_cm=90.0, from_midline_cm=8.6, midline="anterior")
    assert refused(wrong, nearest=True)[0] == "midline_where"


def test_without_a_length_only_a_point_in_the_middle_of_a_region_is_placed() -> None:
    drawn = mark_by_words("adult_male", None, Said("cheek_r"))
    assert (drawn.kind, len(drawn.points)) == (MarkKind.POINT, 1)
    midline = Said("forehead", from_midline_cm=0.0, midline="anterior")
    ((u, _),) = mark_by_words("adult_male", None, midline).points
    assert abs(u) <= 3
    later = "Distances can be placed once the crown-heel length is recorded."
    for said, field, words in (
        (Said("cheek_r", above_heel_cm=150.0), "above_heel_cm", later),
        (
            Said("cheek_r", from_midline_cm=-3.0, midline="anterior"),
            "above_heel_cm",
            later,
        ),
        (
            Said("cheek_r", "line", 2.0, None, "head to foot"),
            "place_kind",
            "Without the crown-heel length only a point can be placed by words.",
        ),
        (
            Said("ear_r", from_midline_cm=0.0, midline="anterior"),
            "midline_where",
            "This drawing does not show the place.",
        ),
    ):
        assert refused(said, None)[:2] == (field, words)


def test_what_does_not_lie_on_the_region_tells_what_lies_there() -> None:
    beside = replace(lying("ear_r"), from_midline_cm=-1.0, midline="anterior")
    field, message, nearest = refused(beside)
    assert (field, nearest) == ("above_heel_cm", True)
    assert message == (
        "As drawn, the right ear lies 155 to 165 cm above the heel and 6 to 8 cm right of the "
        "midline. What was said lies on the drawing's right side of the nose."
    )
    field, message, _ = refused(Said("ear_r", above_heel_cm=10.0))
    assert field == "above_heel_cm"
    forehead = Said("forehead", above_heel_cm=100.0, from_midline_cm=0.0, midline="anterior")
    assert refused(forehead)[1].startswith(
        "As drawn, the forehead lies 161 to 166 cm above the heel and 0 to 6 cm from the midline. "
        "What was said lies on the drawing's midline of the"
    )


def test_the_nearest_spot_that_is_drawn_smaller_tells_both() -> None:
    said = Said("thigh_anterior_l", "line", 12, None, "side to side", above_heel_cm=50)
    note = mark_by_words("adult_male", LENGTH, said, nearest=True).note
    assert note == (
        "Placed at the nearest spot of the region; the distances stay as measured. The skin turns "
        "away from the drawing, so the mark is drawn smaller than it is."
    )


def test_no_distance_gets_into_the_report_that_nobody_measured() -> None:
    unsaid = "without it the report would state a distance that nobody measured."
    assert refused(Said("buttock_l")) == (
        "above_heel_cm",
        f"Give the height above the heel: {unsaid}",
        False,
    )
    # A height that is kept with the finding as measured stands alone there.
    assert mark_by_words("adult_male", LENGTH, lying("buttock_l")).points
    assert refused(lying("buttock_l"), kept=False) == (
        "midline_where",
        f"Give the way from the midline: {unsaid}",
        False,
    )
    both = replace(lying("buttock_l"), from_midline_cm=7.0, midline="posterior")
    assert mark_by_words("adult_male", LENGTH, both, kept=False).view == "posterior"
    # What is derived again can't be taken from the nearest spot.
    off = replace(both, above_heel_cm=120.0)
    assert mark_by_words("adult_male", LENGTH, off, nearest=True).note
    assert refused(off, nearest=True, kept=False)[::2] == ("above_heel_cm", False)


def test_the_front_has_no_distance_from_the_posterior_midline() -> None:
    said = replace(lying("cheek_l"), from_midline_cm=3.0, midline="posterior")
    assert refused(said) == (
        "midline_where",
        "Here the left cheek is measured from the anterior midline.",
        False,
    )


def test_what_lies_nowhere_on_the_drawing_is_not_named() -> None:
    reach = (
        "As drawn, the right ear lies 155 to 165 cm above the heel and 6 to 8 cm right of the "
        "midline."
    )
    assert refused(Said("ear_r", above_heel_cm=10.0))[1] == reach
    beside = Said("ear_r", above_heel_cm=160.0, from_midline_cm=-80.0, midline="anterior")
    assert refused(beside)[1] == reach


def test_a_mark_is_placed_in_the_open_view_where_that_shows_it() -> None:
    for view in ("anterior", "head_anterior"):
        assert mark_by_words("adult_male", LENGTH, lying("cheek_l"), shown=view).view == view
