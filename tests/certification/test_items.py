"""The certifier's items one by one: when each is asked, when left, when it cannot be.

Items as numbered on the US Standard Certificate of Death, 2003 revision (NCHS).
"""

from __future__ import annotations

import datetime as dt

import pytest

from cases.certification import items, rules

TODAY = dt.date(2026, 11, 20)
DAY = dt.timedelta(days=1)


def test_the_words_of_item_37_are_those_of_the_form():
    assert rules.MANNERS == [
        ("natural", "natural"),
        ("accident", "accident"),
        ("suicide", "suicide"),
        ("homicide", "homicide"),
        ("undetermined", "could not be determined"),
        ("pending", "pending investigation"),
    ]
    assert {key: rules.manner_words(key) for key, _ in rules.MANNERS} == dict(rules.MANNERS)
    assert rules.manner_words(None) == rules.manner_words("") == ""
    assert rules.manner_words("natural causes") == "natural causes"


def test_the_lowest_filled_line_is_the_underlying_cause():
    entry = {"cause_a": " A ", "cause_b": None, "cause_c": "C", "cause_d": "  ", "cause_e": "E"}
    assert rules.lines_of(entry) == ["A", "C"]
    assert rules.lowest_cause(entry) == "C"
    assert rules.lines_of(entry | {"cause_d": "D", "cause_b": "B"}) == ["A", "B", "C", "D"]
    assert rules.lowest_cause({}) == ""


@pytest.mark.parametrize("was", ["", *(key for key, _ in rules.MANNERS)])
@pytest.mark.parametrize("becomes", ["", *(key for key, _ in rules.MANNERS)])
def test_a_stated_manner_is_changed_with_a_reason_only(was, becomes):
    free = was in ("", "pending") or was == becomes
    assert rules.needs_reason(was, becomes) is not free


INJURY = {
    "date of injury (38)": [{"injury_on": TODAY}],
    "time of injury (39)": [{"injury_time": dt.time(20, 45)}],
    "place of injury (40)": [{"injury_place": "Home"}],
    "injury at work (41)": [{"injury_at_work": "no"}],
    "location of injury (42)": [
        {"injury_street": "Mill Lane 3"}, {"injury_city": "Fellmoor"}, {"injury_state": "NY"}],
    "how the injury occurred (43)": [{"injury_how": "Fell down the stairs"}],
}  # fmt: skip


def test_each_item_on_the_injury_is_left_until_it_is_stated():
    accident = {"manner": "accident"}
    assert items.injury_items_left(accident) == list(INJURY)
    for words, ways in INJURY.items():
        for way in ways:
            left = items.injury_items_left(accident | way)
            assert left == [one for one in INJURY if one != words]
    assert items.injury_items_left(accident | {"injury_at_words": "found later"}) == [
        one for one in INJURY if one not in ("date of injury (38)", "time of injury (39)")
    ]
    driven = accident | {"injury_how": "Driver of a car that left the road"}
    role = "role in a transportation injury (44)"
    assert items.injury_items_left(driven)[-1] == role
    assert role not in items.injury_items_left(driven | {"transport_role": "driver"})
    assert items.injury_items_left({"manner": "natural"}) == []
    assert not items.transport_is_asked(driven | {"manner": "natural"})


@pytest.mark.parametrize(
    ("entry", "is_asked"),
    [
        ({}, False),
        ({"cause_a": "Pneumonia", "contributing": None}, False),
        ({"cause_d": "Stab wound of the chest"}, True),
        ({"cause_a": "Pneumonia", "contributing": "Fracture of the left hip"}, True),
        # Two lines are two: no word is made of the end of one and the start of the other.
        ({"cause_a": "Finding of blunt", "cause_b": "impact unknown"}, False),
    ],
)
def test_an_injury_in_either_part_is_seen(entry, is_asked):
    assert items.has_injury(entry) is is_asked


OTHER = {
    "death_place_kind": "place of death (14)",
    "death_on": "date of death (29)",
    "death_time": "time of death (30)",
    "autopsy": "autopsy performed (33)",
    "tobacco": "tobacco use (35)",
}


def test_each_other_item_is_left_until_it_is_stated():
    assert items.other_items_left({}) == list(OTHER.values())
    for name, words in OTHER.items():
        left = items.other_items_left({name: "no"})
        assert left == [one for one in OTHER.values() if one != words]
    full = dict.fromkeys(OTHER, "yes")
    assert items.other_items_left(full) == ["autopsy findings available (34)"]
    assert items.other_items_left(full | {"autopsy_available": "yes"}) == []
    done = dict.fromkeys(OTHER, "no")
    for age, asked in [(4.9, False), (5, True), (75, True), (75.1, False), (None, True)]:
        left = items.other_items_left(done, sex="female", age_years=age)
        assert left == ["pregnancy (36)"] * asked
        assert items.other_items_left(done, sex="male", age_years=age) == []
    assert items.other_items_left(done | {"pregnancy": "9"}, sex="female", age_years=30) == []


LATE = "This date is in the future."
AFTER = {"injury_on": "The injury cannot be after the death."}
SURE = "Say whether it is actual or presumed."
BOTH = "Enter it, or leave both out."


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ({}, {}),
        ({"death_on": TODAY, "death_on_is": "actual", "injury_on": TODAY}, {}),
        ({"injury_on": TODAY + DAY}, {"injury_on": LATE}),
        ({"death_on": TODAY + DAY, "death_on_is": "actual"}, {"death_on": LATE}),
        ({"death_on": TODAY - DAY, "death_on_is": "presumed", "injury_on": TODAY}, AFTER),
        (
            {"death_on": TODAY, "death_on_is": "actual", "injury_on": TODAY + DAY},
            {"injury_on": LATE},
        ),
        ({"death_on": TODAY}, {"death_on_is": SURE}),
        ({"death_on_is": "actual"}, {"death_on": BOTH}),
        ({"death_time": dt.time(1)}, {"death_time_is": SURE}),
        ({"death_time_is": "actual"}, {"death_time": BOTH}),
        ({"autopsy": "yes", "autopsy_available": "no"}, {}),
        (
            {"autopsy": "no", "autopsy_available": "no"},
            {"autopsy_available": "Asked only when an autopsy was performed."},
        ),
        ({"pregnancy": "1"}, {}),
        ({"transport_role": "other", "transport_other": "skater"}, {}),
        ({"transport_role": "driver"}, {}),
        ({"transport_role": "other"}, {"transport_other": "Say which."}),
        (
            {"transport_role": "driver", "transport_other": "skater"},
            {"transport_other": "Only for the role “other”."},
        ),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(entry, wrong):
    assert items.wrong_in_items(entry, today=TODAY) == wrong


def test_item_36_is_refused_for_a_male_only():
    stated = {"pregnancy": "1"}
    words = {"pregnancy": "Asked only when the decedent is female."}
    assert items.wrong_in_items(stated, sex="male") == words
    for sex in ("female", "unknown", ""):
        assert items.wrong_in_items(stated, sex=sex) == {}
    assert items.wrong_in_items({}, sex="male") == {}
    # Without a day to compare with, no date is late.
    assert items.wrong_in_items({"injury_on": TODAY + DAY}) == {}
