"""Wound paths: coordinates with their source, the direction in three planes, and the words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from findings import queries
from findings.paths import actions
from findings.paths import queries as path_queries
from findings.paths.models import WoundPath
from findings.paths.wound_paths import (
    LIMITS,
    TAPPED,
    Coordinate,
    PathPoints,
    direction_of,
    direction_words,
    missing_for_direction,
    path_words,
    rests_on_taps,
)
from me_office.audit.errors import Invalid, Refused
from me_office.audit.ids import new_id
from tests.findings.builders import a_mark, make_examination, make_finding


def points(entrance, end, depth=10.0, way="front to back"):
    """Heights and lefts in cm of both ends, measured."""
    (h1, l1), (h2, l2) = entrance, end
    at = [Coordinate(value, "measured" if value is not None else "") for value in (h1, l1, h2, l2)]
    return PathPoints(*at, depth, way)


def test_a_right_triangle_gives_the_angle_of_every_plane():
    # Own arithmetic: 10 cm down over 10 cm depth is 45 degrees, 10 over 10 sideways likewise.
    found = direction_of(points((130.0, -5.0), (120.0, 5.0)))
    assert found.words == ("front to back", "right to left", "downward")
    assert (found.side_view_deg, found.front_view_deg, found.from_above_deg) == (45, 45, 45)
    assert found.length_cm == pytest.approx(300**0.5)


def test_the_direction_is_worded_from_the_decedents_body():
    found = direction_of(points((130.0, -5.0), (120.0, 5.0)))
    assert direction_words(found) == (
        "The direction is front to back, right to left and downward: 45° downward seen from the "
        "side and 45° to the left seen from above."
    )


@pytest.mark.parametrize(
    ("across", "said"),
    [
        (10.0, "45° downward seen from the side and 45° to the left seen from above."),
        (10.6, "43° downward seen from the front and 47° to the left seen from above."),
        (-10.6, "43° downward seen from the front and 47° to the right seen from above."),
    ],
)
def test_up_or_down_is_told_in_the_plane_in_which_the_path_mostly_runs(across, said):
    """A path from front to back that ends a little lower looks steep from the front alone."""
    assert direction_words(direction_of(points((130.0, 0.0), (120.0, across)))).endswith(said)
    level = direction_words(direction_of(points((130.0, 0.0), (130.0, across))))
    assert "ward" not in level
    straight = direction_words(direction_of(points((130.0, 0.0), (120.0, 0.0))))
    assert straight.endswith("front to back and downward: 45° downward seen from the side.")


@pytest.mark.parametrize(
    ("way", "first"), [("front to back", "front to back"), ("back to front", "back to front")]
)
def test_the_depth_goes_the_way_that_was_typed(way, first):
    assert direction_of(points((130.0, 0.0), (130.0, 0.0), 12.0, way)).words == (first,)


def test_swapping_the_ends_turns_every_word_round():
    there = direction_of(points((130.0, -5.0), (110.0, 8.0), 9.0, "front to back"))
    back = direction_of(points((110.0, 8.0), (130.0, -5.0), 9.0, "back to front"))
    assert there.words == ("front to back", "right to left", "downward")
    assert back.words == ("back to front", "left to right", "upward")
    assert there.side_view_deg == back.side_view_deg


def test_without_a_depth_there_is_no_direction_and_it_says_what_is_missing():
    given = points((130.0, None), (120.0, 5.0), None, "")
    assert direction_of(given) is None
    assert missing_for_direction(given) == [
        "the entrance's distance from the midline",
        "the depth",
    ]


def test_a_path_too_short_for_its_error_gets_no_angle():
    found = direction_of(points((130.0, 0.0), (129.4, 0.6), 0.6))
    assert (found.side_view_deg, found.front_view_deg) == (None, None)
    assert found.warnings


def test_the_words_never_speak_of_posture():
    words = path_words(["Skin", "Right lung"], "exit", "", 5, None)
    assert words == "The path goes through the skin and right lung. It exits at finding 5."
    assert "posture" in LIMITS


def test_a_recovered_object_is_said_with_its_place():
    words = path_words(
        ["Skin"], "recovered object", "Deformed bullet, left psoas muscle.", None, None
    )
    assert words.endswith("Recovered at its end: deformed bullet, left psoas muscle.")


def shot(examination, **fields):
    return make_finding(
        examination, term="Gunshot wound of entrance", mechanism="Firearm", **fields
    )


def record(finding, **entry):
    return actions.record_path(
        finding.examination.pathologist,
        case_id=finding.case_id,
        finding_id=finding.pk,
        record_id=new_id(),
        entry={"structures": "Skin\nHeart", "ends_as": "end of the track", **entry},
    )


def row_of(finding):
    return path_queries.path_rows(queries.finding_for_page(finding.case, finding.pk))[0]


def test_coordinates_follow_from_the_findings_and_say_so(examination):
    entrance = shot(examination, marks=[a_mark()])
    out = make_finding(
        examination,
        term="Gunshot wound of exit",
        marks=[a_mark("point", [[60.0, 300.0]], "posterior")],
    )
    record(entrance, ends_as="exit", exit_finding=out, depth_cm=20, depth_way="front to back")
    row = row_of(entrance)
    assert row.points.entrance_height == Coordinate(float(entrance.above_heel_cm), "derived")
    assert row.points.end_left == Coordinate(float(out.from_midline_cm), "derived")
    assert row.direction is not None
    assert "It exits at finding 2" in row.words


def test_what_was_measured_by_hand_stands_over_what_follows(examination):
    entrance = shot(examination, marks=[a_mark()])
    record(entrance, entrance_above_heel_cm=Decimal("128.5"))
    assert row_of(entrance).points.entrance_height == Coordinate(128.5, "measured")


def test_the_far_end_of_a_pair_gives_the_end(examination):
    marks = [
        {**a_mark("paired"), "end": "entrance"},
        {**a_mark("paired", [[60.0, 300.0]], "posterior"), "end": "recovered"},
    ]
    entrance = shot(examination, marks=marks)
    record(entrance, depth_cm=20, depth_way="front to back")
    row = row_of(entrance)
    assert row.points.end_height.source == row.points.end_left.source == "derived"
    assert row.direction.words[0] == "front to back"


def test_the_report_says_the_path(examination):
    entrance = shot(examination, marks=[a_mark()])
    record(entrance)
    finding = queries.findings_of(examination.case)[0]
    assert path_queries.paths_words(finding).startswith("The path goes through the skin and heart.")


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"ends_as": "recovered object"}, "end_words"),
        ({"exit_finding": "itself", "ends_as": "exit"}, "exit_finding"),
        ({"exit_finding": "elsewhere", "ends_as": "exit"}, "exit_finding"),
    ],
)
def test_a_path_that_does_not_hold_together_is_refused(examination, entry, field):
    entrance = shot(examination)
    others = {"itself": entrance, "elsewhere": None}
    if entry.get("exit_finding") == "elsewhere":
        others["elsewhere"] = make_finding(make_examination())
    if "exit_finding" in entry:
        entry = {**entry, "exit_finding": others[entry["exit_finding"]]}
    with pytest.raises(Refused) as refused:
        record(entrance, **entry)
    assert refused.value.field == field


def test_a_depth_without_its_way_is_refused(examination):
    with pytest.raises(Invalid):
        record(shot(examination), depth_cm=Decimal(8))


def test_a_path_begins_at_an_injury(examination):
    scar = make_finding(examination, klass="identifying feature", term="Scar")
    with pytest.raises(Refused, match="begins at an injury"):
        record(scar)


def test_the_panel_records_shows_and_voids_a_path(examination, client):
    client.force_login(examination.pathologist)
    entrance = shot(examination, marks=[a_mark()])
    url = f"/cases/{examination.case_id}/findings/{entrance.pk}/paths/"
    assert client.get(url).status_code == 200
    sent = {
        "record_id": str(new_id()),
        "structures": "Skin\nRight lung",
        "ends_as": "recovered object",
        "end_words": "Bullet, left psoas muscle",
        "end_above_heel_cm": "110",
        "end_midline_cm": "6",
        "depth_cm": "14",
        "depth_way": "front to back",
    }
    missing = client.post(url, sent)
    assert missing.status_code == 422
    assert "Say on which side." in missing.content.decode()
    assert client.post(url, {**sent, "end_side": "left"}).status_code == 302
    path = WoundPath.objects.get()
    assert path.end_from_midline_cm == 6
    page = client.get(f"/cases/{examination.case_id}/chart/?finding={entrance.pk}").content.decode()
    assert "The direction is front to back, right to left and downward" in page
    assert "says nothing about the posture" in page
    change = client.get(f"/cases/{examination.case_id}/paths/{path.pk}/").content.decode()
    assert 'value="6' in change
    void = f"/cases/{examination.case_id}/paths/{path.pk}/void/"
    gone = client.post(void, {"version": "1", "reason": "Belongs to another wound."})
    assert gone.status_code == 302
    assert path_queries.paths_words(queries.findings_of(examination.case)[0]) == ""


def test_the_api_prints_each_coordinate_with_its_source(examination, client):
    client.force_login(examination.pathologist)
    entrance = shot(examination, marks=[a_mark()])
    base = f"/api/cases/{examination.case_id}"
    body = {
        "id": str(new_id()),
        "structures": "Skin",
        "ends_as": "end of the track",
        "end_above_heel_cm": "110.0",
        "end_from_midline_cm": "6.0",
        "depth_cm": "14.0",
        "depth_way": "front to back",
    }
    url = f"{base}/findings/{entrance.pk}/paths/"
    first = client.post(url, body, content_type="application/json")
    assert first.status_code == 201, first.content
    assert first.json()["entrance_height"]["source"] == "derived"
    assert first.json()["end_height"] == {"value": 110.0, "source": "measured"}
    assert first.json()["direction"].startswith("The direction is front to back")
    again = client.post(url, body, content_type="application/json")
    assert again.json()["id"] == first.json()["id"]
    changed = client.patch(
        f"{base}/paths/{first.json()['id']}/",
        {"version": 1, "end_words": "In the left psoas muscle"},
        content_type="application/json",
    )
    assert (changed.status_code, changed.json()["version"]) == (200, 2)


def test_a_stale_path_shows_both_texts_and_keeps_what_was_typed(examination, client):
    client.force_login(examination.pathologist)
    path = record(shot(examination, marks=[a_mark()]), end_from_midline_cm=Decimal("-4.0"))
    url = f"/cases/{examination.case_id}/paths/{path.pk}/"
    sent = {
        "version": "1",
        "structures": "Skin\nLiver",
        "ends_as": "end of the track",
        "end_midline_cm": "6",
        "end_side": "left",
    }
    assert client.post(url, {**sent, "structures": "Skin\nSpleen"}).status_code == 302
    stale = client.post(url, {**sent, "end_side": "right", "end_midline_cm": "5"})
    assert stale.status_code == 409
    page = stale.content.decode()
    assert "Liver" in page
    assert "Spleen" in page
    shown = page[: page.index("<textarea")]
    assert "Side of the end" in shown


@pytest.mark.parametrize(
    ("sources", "asked"),
    [
        (("measured",) * 4, False),
        (("derived", "measured", "measured", "measured"), True),
        (("measured", "derived", "measured", "measured"), True),
        (("measured", "measured", "derived", "measured"), True),
        (("measured", "measured", "measured", "derived"), True),
    ],
)
def test_a_direction_from_taps_says_that_its_angles_are_approximate(sources, asked):
    heights = (Coordinate(130.0, sources[0]), Coordinate(118.0, sources[2]))
    across = (Coordinate(-5.0, sources[1]), Coordinate(3.0, sources[3]))
    points = PathPoints(heights[0], across[0], heights[1], across[1], 18.0, "front to back")
    assert rests_on_taps(points) is asked
    found = direction_of(points, crown_heel_cm=171)
    words = path_words(["Skin"], "exit", "", None, found, from_taps=rests_on_taps(points))
    assert words.endswith(TAPPED) is asked
    assert TAPPED not in path_words(["Skin"], "exit", "", None, None, from_taps=True)
