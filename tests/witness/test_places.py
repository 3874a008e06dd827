"""Which part of the body a picture is of, and whether a specimen comes from there."""

from __future__ import annotations

import pytest

from cases.checking import places
from cases.witness.taken import Tie, names_finding, tie_of
from findings.body.regions import REGIONS
from findings.questions.sites import SKIN


def test_every_region_has_words_for_its_part_and_every_table_names_regions():
    assert {region.group for region in REGIONS.values()} == set(places.GROUP_WORDS)
    bases = {region.base for region in REGIONS.values()}
    tables = [places._FRONT, places._BACK, places._SIDE, set(places._OTHER), set(places._ALSO)]
    for table in tables[:4]:
        assert set(table) <= bases
    # The perianal skin is a place of the genital region with words of its own.
    assert set(places._ALSO) <= bases
    assert set(SKIN) - bases == {"perianal"}
    for one in range(3):
        for other in range(one + 1, 4):
            assert not set(tables[one]) & set(tables[other])


@pytest.mark.parametrize(
    ("regions", "side", "faces", "groups"),
    [
        (["lateral_chest_r"], "right", "right side", ["chest"]),
        (["pectoral_l", "pectoral_r"], "both", "front", ["chest"]),
        (["sternal"], "midline", "front", ["chest"]),
        (["sternal", "pectoral_l"], "left", "front", ["chest"]),
        (["palm_l"], "left", "palm of the hand", ["hand"]),
        (["back_upper_r", "lateral_chest_r"], "right", "back and right side", ["chest", "back"]),
        (["wrist_r"], "right", "", ["forearm"]),
        (["rib_6"], "", "", []),
        ([], "", "", []),
    ],
)
def test_side_facing_and_part_follow_from_the_regions(regions, side, faces, groups):
    assert places.side_of(regions) == side
    assert places.faces_of(regions) == faces
    assert places.groups_of(regions) == groups


@pytest.mark.parametrize(
    ("words", "sites"),
    [
        ("Back of the left hand", {"hands"}),
        ("Back of the head", {"scalp"}),
        ("Back of the right upper arm", {"arms", "hands"}),
        ("Upper back", {"back"}),
        ("Close-up", set()),
    ],
)
def test_what_words_name_of_the_skin(words, sites):
    assert places.skin_named(words) >= sites
    assert ("back" in places.skin_named(words)) is ("back" in sites)


def test_a_larger_part_holds_the_smaller_ones():
    assert {"scalp", "face", "ears"} <= places.skin_named("Head")
    assert "face" not in places.skin_named("Back of the head")
    assert {"chest", "abdomen", "back"} <= places.skin_named("Trunk")
    assert places.names_whole_body("Whole body, front") and not places.names_whole_body("Chest")


CHEST, NECK = ["lateral_chest_r"], ["neck_anterior"]
HAND, THIGH = ["palm_r"], ["thigh_anterior_l"]


@pytest.mark.parametrize(
    ("site", "regions", "of_finding"),
    [
        ("Right chest wall at finding 3", CHEST, True),
        ("Findings 2 and 3", CHEST, True),
        ("Right chest wall", CHEST, False),
        ("Right sixth rib", CHEST, False),
        ("Right hand", HAND, False),
        ("Both hands", HAND, False),
        ("Skin of the neck", NECK, False),
        ("Hyoid bone", NECK, False),
        ("Left thigh", THIGH, False),
        # Elsewhere, on the other side, of another finding, or too little said.
        ("Left chest wall", CHEST, None),
        ("Left sixth rib", CHEST, None),
        ("Sixth rib", CHEST, None),
        ("Finding 13", CHEST, None),
        ("Finding 31", CHEST, None),
        ("Hand", HAND, None),
        ("Left hand", HAND, None),
        ("Left femur", THIGH, None),
        ("Right femoral vein", THIGH, None),
        ("Heart", CHEST, None),
        ("", CHEST, None),
    ],
)
def test_a_specimen_is_tied_to_a_finding_by_the_words_of_its_site(site, regions, of_finding):
    tie = tie_of(site, "Tissue", [(3, regions)])
    assert (tie and tie.of_finding) is of_finding
    if tie is not None:
        assert tie.numbers == (3,)


def test_findings_that_are_named_leave_out_others_of_the_same_part():
    placed = [(3, CHEST), (5, CHEST), (8, CHEST)]
    assert tie_of("Right chest, findings 3, 5", "Tissue", placed) == Tie(
        (3, 5), True, "its record names finding 3 and 5"
    )
    assert tie_of("Right chest", "Skin", placed).numbers == (3, 5, 8)


def test_a_number_is_read_whole():
    assert names_finding("at finding 3.", 3) and names_finding("findings 1, 2 and 3", 3)
    assert not names_finding("finding 3.5", 3) and not names_finding("3 findings", 3)
