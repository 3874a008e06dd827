"""Marks, pairs, patterns, paths and times row by row: both sides of every limit, every sentence."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from findings.questions.sides import side_question
from findings.rules import (
    count_range_words,
    impacts_words,
    kind_needs_reason,
    offers_path,
    wrong_with_finding,
    wrong_with_interpretation,
    wrong_with_mark,
    wrong_with_pair,
    wrong_with_path,
    wrong_with_points,
    wrong_with_times,
)

NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
POINT = [0.1, 2]


@pytest.mark.parametrize(
    ("kind", "points", "said"),
    [
        ("circle", [POINT], "A mark is a point, a line, an area, one end of a pair or a pattern."),
        ("point", [], "This kind of mark needs at least 1 points."),
        ("line", [POINT], "This kind of mark needs at least 2 points."),
        ("area", [POINT] * 2, "This kind of mark needs at least 3 points."),
        ("pattern", [POINT] * 2, "This kind of mark needs at least 3 points."),
        ("paired", [], "This kind of mark needs at least 1 points."),
        ("point", [POINT] * 2, "A point mark has one point."),
        ("paired", [POINT] * 2, "Each end of a pair is one point."),
        ("paired", [POINT] * 401, "Each end of a pair is one point."),
        ("line", [POINT] * 401, "A mark may have at most 400 points."),
        ("point", [(1, 2)], None),
        ("paired", (POINT,), None),
        ("line", [POINT] * 400, None),
    ],
)
def test_points_make_a_mark_of_their_kind(kind, points, said):
    assert wrong_with_points(kind, points) == said


@pytest.mark.parametrize(
    "point",
    [[1], [1, 2, 3], "12", None, [1, "2"], [True, 1], [1, None], [1, float("nan")],
     [float("inf"), 1], {1: 2, 3: 4}],
)  # fmt: skip
def test_a_point_is_two_finite_numbers(point):
    said = "Each point of a mark needs two numbers."
    assert wrong_with_points("line", [POINT, point]) == said
    assert wrong_with_points("line", [point, POINT]) == said
    assert wrong_with_points("line", "12") == said
    assert wrong_with_points("line", {1: POINT}) == said


END = ("end", "Say which end of the pair this is; other marks have no end.")
NO_NUMBER = ("count_low", "Only a pattern has a number of marks.")
NUMBER = ("count_low", "Say how many marks the pattern has, at least.")


@pytest.mark.parametrize(
    ("kind", "end", "low", "high", "said"),
    [
        ("point", "", None, None, None),
        ("point", "exit", None, None, END),
        ("paired", "", None, None, END),
        ("paired", "entrance", None, None, None),
        ("paired", "exit", 1, None, NO_NUMBER),
        ("line", "", 1, None, NO_NUMBER),
        ("line", "", None, 1, NO_NUMBER),
        ("pattern", "exit", 3, None, END),
        ("pattern", "", None, None, NUMBER),
        ("pattern", "", None, 3, NUMBER),
        ("pattern", "", 0, None, NUMBER),
        ("pattern", "", 1, None, None),
        ("pattern", "", 1, 1, None),
        ("pattern", "", 3, 4, None),
        ("pattern", "", 3, 2, ("count_high", "The largest number cannot be below the smallest.")),
    ],
)
def test_a_pair_has_its_end_and_a_pattern_its_number(kind, end, low, high, said):
    assert wrong_with_mark(kind=kind, end=end, count_low=low, count_high=high) == said


NEAR = ("end", "The entrance is marked already.")
FAR = ("end", "The far end is marked already. Record another path as its own finding.")


@pytest.mark.parametrize(
    ("end", "standing", "said"),
    [
        ("entrance", [], None),
        ("entrance", ["exit", "recovered"], None),
        ("entrance", ["exit", "entrance"], NEAR),
        ("exit", ["entrance"], None),
        ("exit", ["entrance", "exit"], FAR),
        ("exit", ["recovered"], FAR),
        ("recovered", ["exit"], FAR),
        ("recovered", ["entrance"], None),
        ("", ["entrance", "exit"], None),
    ],
)
def test_a_pair_has_one_near_and_one_far_end(end, standing, said):
    assert wrong_with_pair(end, iter(standing)) == said


def test_a_counted_range_is_said():
    assert count_range_words(12, None) == "at least 12"
    assert count_range_words(3, 3) == "exactly 3"
    assert count_range_words(12, 15) == "12 to 15"
    assert impacts_words("exactly", 3) == "exactly 3"


@pytest.mark.parametrize(
    ("mechanism", "term", "offers"),
    [
        ("Firearm", "Wound", True),
        ("Firearm", "Entrance", True),
        ("", "Gunshot wound of ENTRANCE", True),
        ("", "Shotgun wound", True),
        ("Sharp force", "Wound", True),
        ("", "Stab wound", True),
        ("Firearm", "Gunshot wound of EXIT", False),
        ("Blunt force", "Contusion", False),
        ("", "", False),
        # Mechanism and term are two words.
        ("gun", "shot", False),
    ],
)
def test_a_path_is_offered_to_wounds_of_entrance(mechanism, term, offers):
    assert offers_path(mechanism, term) is offers


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, None),
        ({"klass": "artifact"}, ("structures", "A wound path begins at an injury.")),
        ({"same_finding": True},
         ("exit_finding", "The exit is another finding than the entrance.")),
        ({"has_exit_finding": True}, ("exit_finding", "Only an exit has a finding of its own.")),
        ({"has_exit_finding": True, "ends_as": "exit"}, None),
        ({"ends_as": "exit"}, None),
        ({"ends_as": "recovered object"},
         ("end_words", "Say what was recovered, and where.")),
        ({"ends_as": "recovered object", "end_words": " "},
         ("end_words", "Say what was recovered, and where.")),
        ({"ends_as": "recovered object", "end_words": "Bullet, spine"}, None),
    ],
)  # fmt: skip
def test_a_wound_path_holds_together(changed, said):
    path = {
        "klass": "injury",
        "ends_as": "end of the track",
        "has_exit_finding": False,
        "end_words": "",
        "same_finding": False,
    }
    assert wrong_with_path(**{**path, **changed}) == said


BEGINS = ("began_at", "The examination cannot begin in the future.")
ENDS_BEFORE = ("ended_at", "The end cannot be before the beginning.")
ENDS = ("ended_at", "The examination cannot end in the future.")


@pytest.mark.parametrize(
    ("began", "ended", "said"),
    [
        (0, None, None),
        (0, 0, None),
        (-1, 0, None),
        (-1, None, None),
        (1, None, BEGINS),
        (1, 2, BEGINS),
        (-1, -2, ENDS_BEFORE),
        (0, -1, ENDS_BEFORE),
        (-1, 1, ENDS),
    ],
)
def test_an_examination_begins_before_it_ends_and_both_have_been(began, ended, said):
    end = None if ended is None else NOON + ended * HOUR
    assert wrong_with_times(began_at=NOON + began * HOUR, ended_at=end, now=NOON) == said


NUMBER_OUT = ("impacts", "Leave the number out when it cannot be determined.")
WHY = ("impacts_reason", "Say why the number cannot be determined.")
ONE = ("impacts", "Give a number of at least 1, or say that it cannot be determined.")
INJURIES = ("impacts_kind", "Impacts are counted for injuries only.")
CANNOT = "cannot be determined"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, None),
        ({"measured": True}, ("measured_by", "Say how it was measured.")),
        ({"measured": True, "measured_by": "ruler"}, None),
        ({"measured_by": "ruler"}, None),
        ({"klass": "artifact"}, None),
        ({"klass": "artifact", "impacts_kind": "exactly", "impacts": 1}, INJURIES),
        ({"klass": "artifact", "impact_group": "A"}, INJURIES),
        ({"impact_group": "A"}, None),
        ({"impacts_kind": CANNOT, "impacts": 1, "impacts_reason": "Overlap"}, NUMBER_OUT),
        ({"impacts_kind": CANNOT}, WHY),
        ({"impacts_kind": CANNOT, "impacts_reason": " "}, WHY),
        ({"impacts_kind": CANNOT, "impacts_reason": "Overlap"}, None),
        ({"impacts_kind": "exactly"}, ONE),
        ({"impacts_kind": "at least", "impacts": 0}, ONE),
        ({"impacts_kind": "at least", "impacts": 1}, None),
        ({"impacts_kind": "exactly", "impacts": 2}, None),
        ({"impacts": 2}, ("impacts_kind", "Say whether this is the least or the exact number.")),
    ],
)
def test_a_finding_says_how_it_was_measured_and_how_its_number_is_meant(changed, said):
    finding = {
        "klass": "injury",
        "measured": False,
        "measured_by": "",
        "impacts_kind": "",
        "impacts": None,
        "impacts_reason": "",
        "impact_group": "",
    }
    assert wrong_with_finding(**{**finding, **changed}) == said


@pytest.mark.parametrize(
    ("standing", "ground", "said"),
    [
        ("excluded", "", ("ground", "Say on what ground this is excluded.")),
        ("excluded", " ", ("ground", "Say on what ground this is excluded.")),
        ("excluded", "Its width", None),
        ("not excluded", "", None),
        ("consistent with", "Its width", None),
    ],
)
def test_what_is_excluded_has_its_ground(standing, ground, said):
    assert wrong_with_interpretation(standing=standing, ground=ground) == said


def test_only_what_is_not_normal_needs_a_reason():
    assert not kind_needs_reason("full autopsy")
    assert kind_needs_reason("external examination")
    assert kind_needs_reason("full autopsy", ["external examination"])
    assert not kind_needs_reason("external examination", ["external examination"])


@pytest.mark.parametrize(
    ("place", "offset", "drawn", "asked"),
    [
        ("Left arm", 3.0, "Right arm", "its place says left, its mark lies on the right"),
        ("RIGHT arm", None, "Left arm", "its place says right, its mark lies on the left"),
        ("Left arm", 0, "", "it lies in the midline, but its place says left"),
        ("Left arm", 0, "Left arm", ""),
        ("Left arm", -0.6, "", "its place says left, its position right of the midline"),
        ("Right arm", 0.6, "", "its place says right, its position left of the midline"),
        ("Right arm", 0.5, "", ""),
        ("Left arm", -0.5, "", ""),
        ("Left arm", 1, "", ""),
        ("Right arm", -1, "", ""),
        ("Left and right arm", -9, "Right arm", ""),
        ("Left left arm", None, "", ""),
        ("Chest", -9, "Right chest", ""),
    ],
)
def test_a_side_that_does_not_hold_together_is_asked_about_in_words(place, offset, drawn, asked):
    assert side_question(place, offset, drawn) == asked
