"""From words to a point of the drawing, and back: every region, both sides, every body.

The way back is the picking that the shared vectors hold (tests/body/vectors.json).
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from findings.body.by_words import (
    WAYS,
    WITHIN,
    Asked,
    NotOnRegion,
    Spot,
    WrongSide,
    check_side,
    fits,
    on_page,
    spot_of,
)
from findings.body.catalogue import UnknownBody, UnknownRegion
from findings.body.midline import place_words, side_of
from findings.body.picking import Pick, pick
from findings.body.position import describe
from findings.body.regions import REGIONS, Region, mirrored_region, region
from findings.body.surface_points import extent
from findings.body.views import BODIES, VIEWS
from tests.body.vectors import pick_vectors

SIDED = [one for one in REGIONS.values() if one.side != "midline"]
ACROSS = [one for one in REGIONS.values() if one.side == "midline"]


def picked_again(body: str, spot: Spot) -> str:
    found = pick(body, spot.view, spot.u, spot.v)
    assert found == spot.found
    return place_words(body, found.region, found.point)


@pytest.mark.parametrize("body", BODIES)
def test_every_region_named_alone_comes_back_with_its_own_side(body: str) -> None:
    for one in SIDED:
        spot = spot_of(body, Asked(one.key))
        assert spot.found.region == one.key
        assert spot.found.side == one.side, one.key
        # The words of a place in the midline would leave the side out.
        assert picked_again(body, spot) == one.term
        assert (spot.found.point[0] > 0) == (one.side == "left"), one.key


@pytest.mark.parametrize("body", BODIES)
def test_a_region_across_the_midline_is_found_on_either_side_and_in_the_midline(body: str) -> None:
    for one in ACROSS:
        far = min(8.0, extent(body, one.key)[3] * 0.7)
        for across, side in ((0.0, "midline"), (far, "left"), (-far, "right")):
            spot = spot_of(body, Asked(one.key, across=across))
            assert spot.found.region == one.key
            assert side_of(spot.found.point[0]) == side, one.key
            assert abs(spot.found.point[0] - across) <= WITHIN


def measured() -> Iterator[tuple[str, Asked, str]]:
    """Points of the shared vectors as they would be measured: body, words, the place's words."""
    for row in pick_vectors()[::9]:
        found = pick(row["body"], row["view"], row["u"], row["v"])
        if found is None:
            continue
        x, _, z = found.point
        across = 0.0 if side_of(x) == "midline" else x
        midline = describe(row["body"], found.point, None, normal=found.normal).midline
        yield row["body"], Asked(found.region, z, across, midline), found.place


def test_measured_distances_come_back_on_their_region_and_side_within_a_tap() -> None:
    count = 0
    for body, asked, place in measured():
        spot = spot_of(body, asked)
        x, _, z = spot.found.point
        assert spot.found.region == asked.region
        assert abs(z - (asked.above_heel or 0.0)) <= WITHIN
        assert abs(x - (asked.across or 0.0)) <= WITHIN
        assert side_of(x) == side_of(asked.across or 0.0)
        back = describe(body, spot.found.point, None, normal=spot.found.normal)
        assert back.midline == asked.midline
        assert spot.found.place == place or side_of(x) == "midline"
        count += 1
    assert count > 80


@pytest.mark.parametrize("one", SIDED, ids=lambda one: one.key)
def test_a_distance_to_the_other_side_is_refused_for_every_region(one: Region) -> None:
    sign = 1.0 if one.side == "left" else -1.0
    for far in (3.1, 60.0):
        check_side(Asked(one.key, across=sign * far))
        with pytest.raises(WrongSide, match=f"{'right' if one.side == 'left' else 'left'} of"):
            check_side(Asked(one.key, across=-sign * far))
    check_side(Asked(one.key, across=0.0))
    assert region(mirrored_region(one.key)).side != one.side


def test_the_other_side_is_refused_before_anything_is_placed() -> None:
    with pytest.raises(WrongSide):
        spot_of("child", Asked("cheek_l", across=-20.0))


def test_what_does_not_lie_on_the_region_is_refused_with_the_nearest_spot() -> None:
    low, high, near, far = extent("adult_male", "inguinal_r")
    assert 0 <= near < far and low < high
    with pytest.raises(NotOnRegion) as refused:
        spot_of("adult_male", Asked("inguinal_r", above_heel=high + 50, across=-(near + far) / 2))
    assert str(refused.value) == "This does not lie on the right inguinal region."
    nearest = refused.value.nearest
    assert nearest is not None
    assert nearest.found.region == "inguinal_r"
    assert nearest.found.point[0] < -3
    assert high - 12 < nearest.found.point[2] <= high + 1


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize(("key", "sign"), [("abdomen_lower_l", 1), ("buttock_r", -1)])
def test_near_the_midline_the_side_is_kept(body: str, key: str, sign: int) -> None:
    # 3.4 thousandths are a side, 3 are the midline: what is found may not cross between the two.
    spot = spot_of(body, Asked(key, across=sign * 3.4))
    assert sign * spot.found.point[0] > 3
    with pytest.raises(NotOnRegion) as refused:
        spot_of(body, Asked(key, above_heel=990))
    nearest = refused.value.nearest
    assert nearest is not None and sign * nearest.found.point[0] > 3


@pytest.mark.parametrize(("beyond", "fits"), [(WITHIN - 0.6, True), (WITHIN + 1.0, False)])
def test_words_are_held_to_what_a_tap_can_tell(beyond: float, fits: bool) -> None:
    # The vertex is the highest spot: straight above it nothing else lies.
    _, high, _, _ = extent("adult_female", "parietal_scalp_l")
    asked = Asked("parietal_scalp_l", above_heel=high + beyond)
    if fits:
        assert spot_of("adult_female", asked).found.region == "parietal_scalp_l"
    else:
        with pytest.raises(NotOnRegion):
            spot_of("adult_female", asked)


def test_front_and_back_are_told_apart_by_the_midline_they_are_measured_from() -> None:
    for midline, faces in (("anterior", False), ("posterior", True)):
        asked = Asked("shoulder_l", midline=midline)  # type: ignore[arg-type]
        spot = spot_of("adult_male", asked)
        assert (spot.found.normal[1] < -0.26) is faces
        assert describe("adult_male", spot.found.point, None, normal=spot.found.normal).midline == (
            midline
        )
    with pytest.raises(NotOnRegion):
        spot_of("adult_male", Asked("buttock_l", midline="anterior"))


def test_the_open_view_is_kept_where_it_shows_the_place_well() -> None:
    assert spot_of("infant", Asked("cheek_r")).view == "anterior"
    assert spot_of("infant", Asked("cheek_r"), shown="head_anterior").view == "head_anterior"
    assert spot_of("infant", Asked("cheek_r"), shown="posterior").view == "anterior"
    assert spot_of("infant", Asked("buttock_r")).view == "posterior"
    assert spot_of("infant", Asked("sole_r")).view == "foot_right_plantar"
    # The whole body comes first where it shows a place nearly as well as a view of a part.
    for one in ("frontal_scalp", "chin"):
        assert spot_of("adult_male", Asked(one, across=0.0)).view == "anterior"
    assert spot_of("adult_male", Asked("great_toe_l")).view == "anterior"


def test_a_spot_has_tenths_as_what_is_drawn_by_hand() -> None:
    spots = [spot_of("adult_male", Asked(one.key)) for one in SIDED[:12]]
    ats = [value for spot in spots for value in (spot.u, spot.v)]
    assert ats == [round(value, 1) for value in ats]
    assert any(spot.u % 1 for spot in spots) and any(spot.v % 1 for spot in spots)


def test_each_way_on_the_body_has_its_direction_on_the_page_of_each_view() -> None:
    # The body's left is at the page's right from the front, at its left from behind; v grows down.
    flat = {
        ("anterior", "down to the left"): (1, 1),
        ("anterior", "down to the right"): (-1, 1),
        ("posterior", "down to the left"): (-1, 1),
        ("posterior", "down to the right"): (1, 1),
        ("anterior", "head to foot"): (0, 1),
        ("left", "head to foot"): (0, 1),
        ("anterior", "side to side"): (1, 0),
        ("foot_left_plantar", "front to back"): (0, 1),
        ("left", "front to back"): (1, 0),
        ("right", "front to back"): (-1, 0),
    }
    for (view, way), (right, down) in flat.items():
        found = on_page(VIEWS[view], way)
        assert found is not None, (view, way)
        u, v = found
        assert (u > 0.5, u < -0.5, v > 0.5) == (right == 1, right == -1, down == 1)
        assert u * u + v * v == pytest.approx(1.0)
    for view, way in (
        ("anterior", "front to back"),
        ("left", "side to side"),
        ("left", "down to the left"),
        ("foot_left_plantar", "head to foot"),
    ):
        assert on_page(VIEWS[view], way) is None
    assert len(WAYS) == 5


def test_a_way_chooses_a_view_in_which_it_lies_flat() -> None:
    spot = spot_of("adult_male", Asked("thigh_medial_l"), way="head to foot")
    assert on_page(VIEWS[spot.view], "head to foot") is not None
    spot = spot_of("adult_male", Asked("sole_l"), way="front to back")
    assert spot.view == "foot_left_plantar"


def test_what_is_unknown_is_said() -> None:
    with pytest.raises(UnknownRegion):
        spot_of("adult_male", Asked("groin"))
    with pytest.raises(UnknownBody):
        spot_of("giant", Asked("cheek_l"))


def a_pick(x: float, z: float, key: str, *, faces: float = 1.0) -> Pick:
    """A point that was picked, which faces forward (1) or backward (-1)."""
    found = region(key)
    side = found.side if found.side != "midline" else side_of(x)
    return Pick((x, 20.0, z), key, found.term, found.term, side, (0.0, faces, 0.0))


@pytest.mark.parametrize(
    ("asked", "found", "is_meant"),
    [
        (Asked("abdomen_lower_l"), a_pick(20, 540, "abdomen_lower_l"), True),
        (Asked("abdomen_lower_l"), a_pick(-20, 540, "abdomen_lower_l"), False),
        (Asked("abdomen_lower_l"), a_pick(2, 540, "abdomen_lower_l"), False),
        (Asked("abdomen_lower_l"), a_pick(20, 540, "abdomen_lower_r"), False),
        (Asked("forehead"), a_pick(0, 950, "forehead"), True),
        (Asked("forehead"), a_pick(9, 950, "forehead"), True),
        (Asked("forehead", across=9), a_pick(9, 950, "forehead"), True),
        (Asked("forehead", across=9), a_pick(12, 950, "forehead"), True),
        (Asked("forehead", across=9), a_pick(12.1, 950, "forehead"), False),
        (Asked("forehead", across=4), a_pick(2, 950, "forehead"), False),
        (Asked("forehead", across=-4), a_pick(-2, 950, "forehead"), False),
        (Asked("forehead", across=0), a_pick(3, 950, "forehead"), True),
        (Asked("abdomen_lower_l", across=0), a_pick(1, 540, "abdomen_lower_l"), True),
        (Asked("forehead", above_heel=950), a_pick(0, 953, "forehead"), True),
        (Asked("forehead", above_heel=950), a_pick(0, 946.9, "forehead"), False),
        (Asked("hip_l", 540, 20, "anterior"), a_pick(20, 540, "hip_l"), True),
        (Asked("hip_l", 540, 20, "posterior"), a_pick(20, 540, "hip_l"), False),
        (Asked("hip_l", 540, 20, "posterior"), a_pick(20, 540, "hip_l", faces=-1), True),
        (Asked("hip_l", 540, 20, "anterior"), a_pick(20, 540, "hip_l", faces=-1), False),
    ],
)
def test_what_was_picked_is_what_was_asked_for(asked: Asked, found: Pick, is_meant: bool) -> None:
    assert fits("adult_male", asked, found) is is_meant


def test_a_place_that_is_seen_from_above_is_drawn_where_its_line_lies_flat() -> None:
    spot = spot_of("adult_male", Asked("parietal_scalp_l"), way="head to foot")
    assert on_page(VIEWS[spot.view], "head to foot") is not None
    # The view that looks at it straight does not show the direction.
    assert spot_of("adult_male", Asked("cheek_l")).view == "anterior"
    assert spot_of("adult_male", Asked("cheek_l"), way="front to back").view == "left"
