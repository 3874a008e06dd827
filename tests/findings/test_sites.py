"""Sites by regions, by parts of drawings and by words: each table read as it is written."""

from __future__ import annotations

import pytest

from findings.questions import sites


def test_a_table_of_names_and_sites_is_read_row_by_row():
    # Such code ran before a test began; only calling it again tells whether it is right.
    table = sites._table(
        """
        one, two : first,  second

        two: third
        three: a: b
        four:
        """
    )
    assert table == {
        "one": {"first", "second"},
        "two": {"first", "second", "third"},
        "three": {"a: b"},
        "four": frozenset(),
    }
    assert sites._set(" one, two words ,, ") == {"one", "two words"}
    assert sites._set("") == frozenset()


def test_words_are_matched_whole_in_any_case_and_each_alternative_alike():
    words = sites._compiled("ribs?|flail chest")
    assert all(words.search(one) for one in ("Rib", "RIBS.", "flail CHEST", "rib-cage"))
    assert not any(words.search(one) for one in ("crib", "ribbon", "flail chests"))


@pytest.mark.parametrize("region", sorted(sites.SKIN))
def test_each_region_has_its_skin_and_for_a_fracture_its_bone(region):
    assert sites.region_sites([region]) == sites.SKIN[region]
    assert sites.region_sites([region], broken=True) == sites.BONE.get(region, frozenset())
    assert sites.region_sites([region, "palm"]) == sites.SKIN[region] | {"hands"}


def test_an_unknown_region_is_nowhere():
    assert sites.region_sites(["elsewhere"]) == sites.region_sites([]) == frozenset()
    assert sites.region_sites(["elsewhere", "palm"], broken=True) == {"limb bones"}


@pytest.mark.parametrize(
    ("view", "part", "found"),
    [
        ("skull_base_inner", "petrous_l", {"skull", "skull base"}),
        ("skull_superior", "parietal_l", {"skull"}),
        ("skull_anterior", "nasal_l", {"facial bones", "nasal bones"}),
        ("neck_organs", "hyoid_horn_r", {"hyoid"}),
        ("mouth", "oropharynx", {"oral mucosa", "airway"}),
        ("torso_organs", "liver", {"liver"}),
        ("torso_organs", "elsewhere", frozenset()),
        ("elsewhere", "liver", frozenset()),
    ],
)
def test_a_part_of_a_drawing_is_told_by_the_beginning_of_its_key(view, part, found):
    assert sites.part_sites(view, part) == found


@pytest.mark.parametrize(
    ("words", "skin", "bone", "deep"),
    [
        ("Left cheek", {"face"}, {"facial bones"}, frozenset()),
        ("Chest and left hand", {"chest", "hands"}, {"ribs", "limb bones"}, frozenset()),
        ("Calvarium", frozenset(), frozenset(), {"skull"}),
        ("Liver, spleen", frozenset(), frozenset(), {"liver", "spleen"}),
        ("", frozenset(), frozenset(), frozenset()),
    ],
)
def test_words_name_skin_the_bone_beneath_it_or_what_is_deep(words, skin, bone, deep):
    assert sites.surface_sites(words) == skin
    assert sites.surface_sites(words, broken=True) == bone
    assert sites.deep_sites(words) == deep
