"""What a photograph log lacks, in words, and both sides of its limits. Common practice."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from evidence.gaps.rules import LogGapKind, missing_pictures, proposed_series
from evidence.items.rules import check_collected
from evidence.photographs.rules import behind_the_cover, check_taken, checked_outline
from me_office.audit.errors import Refused
from tests.evidence.test_log_rules import CHEST, HEAD, INJURIES, NOON, shot

INSTANT = timedelta(microseconds=1)


def test_each_thing_a_log_lacks_says_what_it_is_about():
    log = [shot(1, "overview", CHEST), shot(2, "close-up")]
    found = [(one.kind, one.words, one.shot, one.seen) for one in missing_pictures(log, INJURIES)]
    assert found == [
        (LogGapKind.IDENTIFICATION, "No identification photograph.", None, None),
        (LogGapKind.INJURY, "No photograph shows injury 1 (Laceration).", None, INJURIES[0]),
        (LogGapKind.CLOSE_UP, "No close-up shows injury 2 (Contusion).", None, INJURIES[1]),
        (LogGapKind.SCALE, "Close-up 2 has no matching picture with a scale.", log[1], None),
        (
            LogGapKind.SURROUNDINGS,
            "Close-up 2 has no overview or mid-range picture of the same place.", log[1], None,
        ),
    ]  # fmt: skip


def together(count, **fields):
    """So many photographs of one finding, of two views."""
    return [shot(n, "overview" if n == 1 else "close-up", HEAD, **fields) for n in range(count)]


def test_pictures_of_several_regions_are_named_by_their_finding():
    log = [shot(1, "overview", HEAD, region="Left cheek"), shot(2, "close-up", HEAD, region="Nose")]
    assert [one.title for one in proposed_series(log, INJURIES)] == ["1 Laceration"]
    log = [shot(1, "overview", HEAD, region="Nose"), shot(2, "close-up", HEAD, region="nose ")]
    assert [one.title for one in proposed_series(log, INJURIES)] == ["nose"]


def test_twenty_four_pictures_are_judged_at_a_glance_and_one_more_is_not():
    assert [len(one.shots) for one in proposed_series(together(24), INJURIES)] == [24]
    assert proposed_series(together(25), INJURIES) == []


def test_a_series_of_one_photograph_ties_nothing_together():
    one, other = uuid4(), uuid4()
    log = [shot(1, "overview", HEAD, series=[one]), shot(2, "close-up", HEAD, series=[other])]
    assert len(proposed_series(log, INJURIES)) == 1
    log = [shot(1, "overview", HEAD, series=[one]), shot(2, "close-up", HEAD, series=[one])]
    assert proposed_series(log, INJURIES) == []


def test_pictures_of_a_region_are_in_the_order_of_their_times_and_of_a_pause_of_20_minutes():
    log = [
        shot(1, "close-up", region="Hand ", after=20),
        shot(2, "overview", region="Hand", after=0),
        shot(3, "close-up", region="Hand", after=40.1),
        shot(4, "mid-range", region="Hand", after=41),
    ]
    found = proposed_series(log, [])
    assert [[one.number for one in each.shots] for each in found] == [[2, 1], [4, 3]]
    assert [each.title for each in found] == ["Hand", "Hand"]
    assert {each.why for each in found} == {
        "Same region, same place, taken shortly after each other."
    }


def corner(side: float):
    """Half a square of this side."""
    return [[0, 0], [side, 0], [0, side]]


def test_an_outline_encloses_something_has_400_corners_at_most_and_says_what_is_wrong():
    around = [[n / 400, 0] for n in range(399)] + [[0, 1]]
    assert len(checked_outline(around) or []) == 400
    # A ten-millionth of the picture: one point of a picture of ten million.
    assert checked_outline(corner(0.000448)) == corner(0.000448)
    for outline, words in (
        (corner(0.000446), "The corners are in one line; an outline has to enclose an area."),
        (
            [[0, 0], [1, 1]],
            "One point is a pointer; an outline needs three corners or more.",
        ),
        ([[0, 1.1]], "Every point has to be inside the picture."),
    ):
        with pytest.raises(Refused) as refused:
            checked_outline(outline)
        assert (str(refused.value), refused.value.field) == (words, "outline")


AHEAD = NOON + INSTANT


@pytest.mark.parametrize(
    ("check", "field", "words"),
    [
        (lambda: check_taken(None, now=NOON), None, ""),
        (lambda: check_taken(NOON, now=NOON), None, ""),
        (
            lambda: check_taken(AHEAD, now=NOON),
            "taken_at", "The time it was taken is in the future.",
        ),
        (lambda: check_collected(None, NOON, now=NOON), None, ""),
        (lambda: check_collected(NOON, NOON, now=NOON), None, ""),
        (
            lambda: check_collected(AHEAD, NOON, now=NOON),
            "collected_at", "The time is in the future.",
        ),
        (
            lambda: check_collected(None, AHEAD, now=NOON),
            "handed_over_at", "The time of the transfer is in the future.",
        ),
        (
            lambda: check_collected(NOON, NOON - INSTANT, now=NOON),
            "handed_over_at", "It was collected after this time.",
        ),
    ],
)  # fmt: skip
def test_times_of_evidence_follow_each_other_and_have_come(check, field, words):
    if field is None:
        check()
        return
    with pytest.raises(Refused) as refused:
        check()
    assert (refused.value.field, str(refused.value)) == (field, words)


@pytest.mark.parametrize(
    ("shows", "said"),
    [
        (" Contusion. Four bands. ", "Close-up, chest, Contusion"),
        ("Contusion.", "Close-up, chest, Contusion"),
        ("Marked X.", "Close-up, chest, Marked X"),
        ("Gunshot wound, 9.5 mm", "Close-up, chest, Gunshot wound, 9.5 mm"),
        ("a" * 70, f"Close-up, chest, {'a' * 70}"),
        ("b" * 60 + " cccc ddddd", f"Close-up, chest, {'b' * 60} cccc …"),
        ("b" * 30 + " " + "c" * 30 + " ddddddddddd", f"Close-up, chest, {'b' * 30} {'c' * 30} …"),
    ],
)
def test_a_cover_says_the_first_sentence_and_at_most_70_letters_of_it(shows, said):
    assert behind_the_cover("close-up", " chest ", shows) == said
