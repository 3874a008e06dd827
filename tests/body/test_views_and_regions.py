import json

import pytest

from findings.body.catalogue import ASSETS, UnknownBody, UnknownRegion, UnknownView
from findings.body.regions import REGIONS, mirrored_region, region_term, search_regions
from findings.body.views import BODIES, VIEWS, choose_body, view_box


def test_regions_have_the_trades_terms():
    assert region_term("lateral_chest_r") == "Right lateral chest wall"
    assert len(REGIONS) == 113
    with pytest.raises(UnknownRegion, match="wing"):
        region_term("wing")


def test_every_region_has_a_mirror_of_its_own_group():
    for key, region in REGIONS.items():
        mirror = REGIONS[mirrored_region(key)]
        assert mirrored_region(mirror.key) == key
        assert mirror.group == region.group
        assert (mirror.key == key) == (region.side == "midline")


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("right lateral chest", "lateral_chest_r"),
        ("temple left", "temporal_scalp_l"),
        ("armpit r", "axilla_r"),
        ("back of hand left", "hand_dorsum_l"),
        ("shin right", "leg_anterior_r"),
        ("groin l", "inguinal_l"),
        ("FOREHEAD", "forehead"),
        ("big toe right", "great_toe_r"),
    ],
)
def test_a_region_is_found_by_what_people_call_it(words, key):
    assert search_regions(words)[0].key == key


def test_no_words_and_unknown_words_find_nothing():
    assert search_regions("") == []
    assert search_regions("carburettor") == []


@pytest.mark.parametrize(
    ("sex", "age_years", "body"),
    [
        ("female", 34, "adult_female"),
        ("male", 34, "adult_male"),
        (None, None, "adult_male"),
        ("female", None, "adult_female"),
        ("female", 6, "child"),
        ("male", 12.9, "child"),
        ("male", 13, "adult_male"),
        ("female", 0.2, "infant"),
        (None, 0, "infant"),
    ],
)
def test_the_body_follows_age_before_sex(sex, age_years, body):
    assert choose_body(sex, age_years) == body


@pytest.mark.parametrize("body", BODIES)
def test_every_body_has_every_view_with_a_drawing_in_its_box(body):
    for view in VIEWS:
        box = view_box(body, view)
        drawing = (ASSETS / "drawings" / body / f"{view}.svg").read_text(encoding="utf-8")
        shape = drawing.split('viewBox="', 1)[1].split('"', 1)[0]
        assert [float(n) for n in shape.split()] == list(box), view
        assert box.width > 0, view
        assert box.height > 0, view


def test_an_unknown_body_or_view_is_named():
    with pytest.raises(UnknownBody, match="giant"):
        view_box("giant", "anterior")
    with pytest.raises(UnknownView, match="inside"):
        view_box("adult_male", "inside")


def test_the_catalogue_names_no_region_twice_and_every_view_only_known_regions():
    catalogue = json.loads((ASSETS / "catalogue.json").read_text(encoding="utf-8"))
    keys = [region["key"] for region in catalogue["regions"]]
    assert len(keys) == len(set(keys))
    bases = {region.base for region in REGIONS.values()}
    for view in VIEWS.values():
        assert (view.shown or frozenset()) <= bases
        assert view.hidden <= bases
