"""Series, outlines and what a long log lacks. Common practice of the trade, no database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest

from evidence.gaps.rules import LogGapKind, Seen, missing_pictures, proposed_series
from evidence.photographs.rules import MOST_CORNERS, Shot, checked_outline, nearer_later
from me_office.audit.errors import Refused

HEAD, CHEST = uuid4(), uuid4()
INJURIES = [Seen(HEAD, 1, "Laceration", True), Seen(CHEST, 2, "Contusion", True)]
NOON = datetime(2026, 11, 14, 12, 0, tzinfo=UTC)


def shot(number, view, *findings, scale=False, region="", series=(), after=None, place="scene"):
    at = None if after is None else NOON + timedelta(minutes=after)
    return Shot(
        number, view, scale, region, "", frozenset(findings),
        series_ids=frozenset(series), place=place, taken_at=at,
    )  # fmt: skip


def kinds(shots, findings=()):
    return [
        (one.kind, one.shot.number if one.shot else one.seen.number)
        for one in missing_pictures(shots, findings)
    ]


def test_an_injury_that_is_only_seen_from_afar_lacks_a_close_up():
    log = [shot(1, "identification"), shot(2, "overview", HEAD, CHEST)]
    assert kinds(log, INJURIES) == [(LogGapKind.CLOSE_UP, 1), (LogGapKind.CLOSE_UP, 2)]


def test_a_series_serves_where_region_and_finding_say_nothing():
    series = uuid4()
    log = [
        shot(1, "identification"),
        shot(2, "overview", series=[series]),
        shot(3, "close-up", series=[series]),
        shot(4, "close-up", series=[series], scale=True),
    ]
    assert kinds(log) == []
    assert kinds([log[0], log[2], log[3]]) == [
        (LogGapKind.SURROUNDINGS, 3), (LogGapKind.SURROUNDINGS, 4),
    ]  # fmt: skip


def test_pictures_of_a_finding_are_proposed_from_further_to_nearer():
    log = [
        shot(1, "close-up", HEAD, scale=True),
        shot(2, "close-up", HEAD),
        shot(3, "mid-range", HEAD),
        shot(4, "overview", HEAD, CHEST),
    ]
    (proposal,) = proposed_series(log, INJURIES)
    assert [one.number for one in proposal.shots] == [4, 3, 2, 1]
    assert (proposal.title, proposal.why) == ("1 Laceration", "They show finding 1, Laceration.")


def test_pictures_alike_in_view_and_scale_are_no_series():
    assert proposed_series([shot(n, "overview", HEAD) for n in range(1, 11)], INJURIES) == []


def test_pictures_of_one_region_are_proposed_while_they_follow_each_other():
    log = [
        shot(1, "overview", region="Left hand", after=0),
        shot(2, "close-up", region="left hand ", after=9),
        shot(3, "close-up", region="left hand", scale=True, after=60),
        shot(4, "mid-range", region="left hand", after=61),
        shot(5, "close-up", region="left hand", after=61, place="examination"),
        shot(6, "close-up", region="left hand"),
    ]
    found = [[one.number for one in each.shots] for each in proposed_series(log, [])]
    assert found == [[1, 2], [4, 3]]


def test_what_is_a_series_or_part_of_a_proposal_is_not_proposed_again():
    done = uuid4()
    log = [
        shot(1, "overview", HEAD, series=[done]),
        shot(2, "close-up", HEAD, series=[done]),
        shot(3, "overview", CHEST, region="chest", after=0),
        shot(4, "close-up", CHEST, region="chest", after=1),
    ]
    assert [each.title for each in proposed_series(log, INJURIES)] == ["chest"]


def test_photographs_of_one_area_stand_from_further_to_nearer():
    views = [shot(4, "identification"), shot(3, "close-up", scale=True), shot(2, "close-up"),
             shot(1, "mid-range"), shot(5, "overview")]  # fmt: skip
    assert [one.number for one in sorted(views, key=nearer_later)] == [5, 1, 2, 3, 4]


def test_a_pointer_and_an_outline_are_kept_in_the_pictures_own_measure():
    assert checked_outline([[0.25, 1]]) == [[0.25, 1.0]]
    assert checked_outline([[0, 0], [0.5, 0], [0.12345678, 1]]) == [[0, 0], [0.5, 0], [0.123457, 1]]
    assert checked_outline([]) is None
    assert checked_outline(None) is None


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ([[0.1, 0.1], [0.2, 0.2]], "three corners or more"),
        ([[0.1, 0.1]] * 5, "three corners or more"),
        ([[0.1, 0.1], [0.2, 0.2], [0.3, 0.3]], "in one line"),
        ([[1.2, 0.1]], "be inside the picture"),
        ([[float("nan"), 0.1]], "be inside the picture"),
        ([["0.1", 0.1]], "be inside the picture"),
        ([[True, 0.1]], "be inside the picture"),
        ([[0.1, 0.1, 0.1]], "be inside the picture"),
        ([0.1, 0.2], "be inside the picture"),
        ({"x": 1}, "at most 400 corners"),
        ([[0.5, 0.5]] * (MOST_CORNERS + 1), "at most 400 corners"),
    ],
)
def test_what_is_no_pointer_and_no_outline_is_refused(outline, words):
    with pytest.raises(Refused, match=words) as refused:
        checked_outline(outline)
    assert refused.value.field == "outline"


def test_runs_follow_the_clock_and_not_the_numbers():
    wide, near = "overview", "close-up"
    shots = [
        shot(1, wide, region="Left thigh", after=900),
        shot(2, near, region="left thigh", after=901),
        shot(3, near, region="left thigh", after=1),
        shot(4, wide, region="Left Thigh", after=0),
    ]
    runs = [(one.title, [each.number for each in one.shots]) for one in proposed_series(shots, [])]
    assert runs == [("Left Thigh", [4, 3]), ("Left thigh", [1, 2])]
