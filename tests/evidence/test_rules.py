"""What a photograph log lacks, and what stands on a cover. Common practice of the trade."""

from __future__ import annotations

from uuid import uuid4

from evidence.gaps.rules import LogGapKind, Seen, missing_pictures
from evidence.photographs.rules import Shot, behind_the_cover

HEAD, CHEST = uuid4(), uuid4()
INJURIES = [Seen(HEAD, 1, "Laceration", True), Seen(CHEST, 2, "Contusion", True)]


def shot(number, view, *findings, scale=False, region=""):
    return Shot(number, view, scale, region, "", frozenset(findings))


def kinds(shots, findings=()):
    return [(one.kind, one.shot.number if one.shot else None) for one in
            missing_pictures(shots, findings)]  # fmt: skip


def test_an_empty_log_lacks_the_identification_and_every_injury():
    gaps = missing_pictures([], INJURIES)
    assert [one.words for one in gaps] == [
        "No identification photograph.",
        "No photograph shows injury 1 (Laceration).",
        "No photograph shows injury 2 (Contusion).",
    ]


def test_what_is_no_injury_needs_no_photograph():
    assert kinds([shot(1, "identification")], [Seen(HEAD, 1, "Lividity", False)]) == []


def test_a_whole_series_lacks_nothing():
    series = [
        shot(1, "identification"),
        shot(2, "overview", region="chest"),
        shot(3, "close-up", CHEST, region="Chest "),
        shot(4, "close-up", CHEST, scale=True, region="chest"),
        shot(5, "mid-range", HEAD),
        shot(6, "close-up", HEAD, scale=True),
    ]
    assert kinds(series, INJURIES) == []


def test_a_close_up_without_scale_and_without_surroundings_is_pointed_out():
    log = [shot(1, "identification"), shot(2, "close-up", CHEST)]
    assert kinds(log) == [(LogGapKind.SCALE, 2), (LogGapKind.SURROUNDINGS, 2)]


def test_a_scale_elsewhere_does_not_serve():
    log = [
        shot(1, "identification"),
        shot(2, "close-up", CHEST, region="chest"),
        shot(3, "close-up", HEAD, scale=True, region="head"),
        shot(4, "overview", CHEST, HEAD),
    ]
    assert kinds(log) == [(LogGapKind.SCALE, 2)]


def test_pictures_without_region_and_finding_belong_to_nothing():
    log = [shot(1, "identification"), shot(2, "close-up", scale=True), shot(3, "overview")]
    assert kinds(log) == [(LogGapKind.SURROUNDINGS, 2)]


def test_the_cover_names_what_is_behind_it():
    assert behind_the_cover("close-up", "right chest", "Contusion. Four bands.") == (
        "Close-up, right chest, Contusion"
    )
    assert behind_the_cover("overview", "", "") == "Overview"
    assert len(behind_the_cover("overview", "", "word " * 60)) < 90


def test_only_a_close_up_with_a_scale_is_a_close_ups_partner():
    close_up = shot(2, "close-up", CHEST)
    for view in ("overview", "mid-range", "identification", "other"):
        log = [shot(1, "identification"), close_up, shot(3, "overview", CHEST),
               shot(4, view, CHEST, scale=True)]  # fmt: skip
        assert (LogGapKind.SCALE, 2) in kinds(log), view
    partner = shot(4, "close-up", CHEST, scale=True)
    log = [shot(1, "identification"), close_up, shot(3, "overview", CHEST), partner]
    assert kinds(log) == []
