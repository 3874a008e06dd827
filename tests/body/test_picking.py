import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.body.catalogue import BodyGeometryError, UnknownBody, UnknownView
from findings.body.picking import pick, side_of, visible_in
from findings.body.regions import REGIONS, mirrored_region
from findings.body.views import BODIES, VIEWS, view_box
from tests.body.vectors import pick_vectors

OTHER_SIDE = {"left": "right", "right": "left", "midline": "midline"}
# Points in the vectors are given to a hundredth, normals to a thousandth.
POINT_ROUNDING = 0.01
NORMAL_ROUNDING = 0.001


def mirrored_view(key: str) -> str:
    swapped = key.replace("left", "#").replace("right", "left").replace("#", "right")
    return swapped if swapped in VIEWS else key


def test_there_are_a_thousand_vectors_over_every_body_and_view():
    vectors = pick_vectors()
    assert len(vectors) == 1000
    assert {(v["body"], v["view"]) for v in vectors} == {(b, v) for b in BODIES for v in VIEWS}


def test_every_vector_is_picked_as_given():
    wrong = []
    for vector in pick_vectors():
        found = pick(vector["body"], vector["view"], vector["u"], vector["v"])
        if vector["point"] is None:
            if found is not None:
                wrong.append((vector, found))
            continue
        if (
            found is None
            or found.region != vector["region"]
            or math.dist(found.point, vector["point"]) > POINT_ROUNDING
            or math.dist(found.normal, vector["normal"]) > 2 * NORMAL_ROUNDING
            or found.side != vector.get("side", found.side)
        ):
            wrong.append((vector, found))
    assert wrong == []


def test_a_mirrored_point_gives_the_mirrored_side_and_region():
    wrong = []
    for vector in pick_vectors():
        if vector["point"] is None:
            continue
        body, view = vector["body"], vector["view"]
        here = pick(body, view, vector["u"], vector["v"])
        there = pick(body, mirrored_view(view), -vector["u"], vector["v"])
        if (
            there is None
            or there.side != OTHER_SIDE[here.side]
            or there.region != mirrored_region(here.region)
            or math.dist(there.point, (-here.point[0], *here.point[1:])) > POINT_ROUNDING
        ):
            wrong.append((vector, there))
    assert wrong == []


def test_what_is_picked_in_a_view_is_visible_in_it_and_picked_again_in_every_other():
    for vector in pick_vectors()[480:]:
        if vector["point"] is None:
            continue
        body = vector["body"]
        found = pick(body, vector["view"], vector["u"], vector["v"])
        seen = visible_in(body, found.point, normal=found.normal, region=found.region)
        assert sorted(view for view, _, _ in seen) == vector["seen_in"]
        for view, u, v in seen:
            again = pick(body, view, u, v)
            assert math.dist(again.point, found.point) <= 1.0


def test_a_mark_on_the_breastbone_is_seen_from_the_front_and_not_from_the_back():
    found = pick("adult_male", "anterior", 0, 250)
    views = {view for view, _, _ in visible_in("adult_male", found.point, normal=found.normal)}
    assert found.region == "sternal"
    assert "anterior" in views
    assert "posterior" not in views


def test_a_view_of_one_hand_never_shows_another_region():
    allowed = {"hand", "forearm"}
    box = view_box("child", "hand_right_palmar")
    for column in range(12):
        for row in range(12):
            found = pick(
                "child",
                "hand_right_palmar",
                box.x + box.width * column / 11,
                box.y + box.height * row / 11,
            )
            if found is not None:
                assert REGIONS[found.region].group in allowed
                assert found.side == "right"


@settings(deadline=None)
@given(
    body=st.sampled_from(sorted(BODIES)),
    view=st.sampled_from(sorted(VIEWS)),
    across=st.floats(-0.2, 1.2),
    down=st.floats(-0.2, 1.2),
)
def test_any_page_point_gives_a_surface_point_under_it_or_nothing(body, view, across, down):
    box = view_box(body, view)
    u, v = box.x + box.width * across, box.y + box.height * down
    found = pick(body, view, u, v)
    if found is None:
        return
    assert math.dist(VIEWS[view].project(found.point), (u, v)) < 1e-6
    assert math.isclose(math.hypot(*found.normal), 1.0, abs_tol=1e-9)
    assert VIEWS[view].toward.of(found.normal) > 0
    assert box.holds(u, v)


def test_outside_the_box_nothing_is_picked():
    box = view_box("adult_male", "head_anterior")
    assert pick("adult_male", "head_anterior", 0, box.y + box.height + 1) is None


@pytest.mark.parametrize("u", [math.nan, math.inf])
def test_a_page_point_that_is_no_number_is_refused(u):
    with pytest.raises(BodyGeometryError, match="two finite numbers"):
        pick("adult_male", "anterior", u, 0)


def test_an_unknown_body_or_view_is_named_in_the_error():
    with pytest.raises(UnknownBody, match="giant"):
        pick("giant", "anterior", 0, 0)
    with pytest.raises(UnknownView, match="inside"):
        pick("adult_male", "inside", 0, 0)


@pytest.mark.parametrize(("x", "side"), [(50, "left"), (-50, "right"), (2, "midline")])
def test_the_side_is_the_bodys_own(x, side):
    assert side_of(x) == side
