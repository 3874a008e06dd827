"""Marks with two places, marks that stand for many, and marks on schematic drawings."""

from __future__ import annotations

import json
import re
from decimal import Decimal

import pytest

from findings import actions, queries
from findings.body.drawing import chart_svg
from findings.body.schematics import part_at
from findings.body.views import SCHEMATICS, VIEWS
from findings.chart import queries as chart_queries
from findings.chart import tabs as chart_views
from findings.chart.placing import drawn_line_words
from findings.models import Mark
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.findings.builders import a_mark, make_finding, place_point

pytestmark = pytest.mark.django_db
AREA = [[-60, 200], [-30, 200], [-30, 240], [-60, 240]]


def end(which, points=None, view="anterior"):
    return {**a_mark("paired", points, view), "end": which}


def pattern(low, high=None):
    return {**a_mark("pattern", AREA), "count_low": low, "count_high": high}


def shot(examination, *marks, **fields):
    marks = marks or (end("entrance"), end("exit", [[60.0, 300.0]], "posterior"))
    return make_finding(examination, term="Gunshot wound of entrance", marks=marks, **fields)


def test_a_pair_has_two_places_under_one_number(examination):
    finding = shot(examination)
    assert [mark.letter for mark in finding.marks.all()] == ["a", "b"]
    front = chart_svg(
        "adult_male", "anterior", chart_queries.chart_marks(examination.case), standalone=False
    )
    back = chart_svg(
        "adult_male", "posterior", chart_queries.chart_marks(examination.case), standalone=False
    )
    assert re.findall(r">(\d+[ab]?)</text>", front) == ["1a"]
    assert re.findall(r">(\d+[ab]?)</text>", back) == ["1b"]


def test_both_ends_in_one_view_are_joined(examination):
    shot(examination, end("entrance"), end("exit", [[-40.0, 330.0]]))
    front = chart_svg(
        "adult_male", "anterior", chart_queries.chart_marks(examination.case), standalone=False
    )
    assert front.count("mark-join") == 1
    assert sorted(re.findall(r">(\d+[ab]?)</text>", front)) == ["1a", "1b"]


def test_a_finding_lies_where_its_entrance_is_whatever_was_drawn_first(examination):
    finding = shot(examination, end("exit", [[60.0, 300.0]], "posterior"), end("entrance"))
    assert finding.region == finding.marks.get(end="entrance").region
    far = finding.marks.get(end="exit")
    actions.move_mark(
        examination.pathologist,
        case_id=examination.case_id,
        mark_id=far.pk,
        version=1,
        entry={"points": [[60.0, 320.0]]},
    )
    finding.refresh_from_db()
    assert finding.region == finding.marks.get(end="entrance").region


def test_the_sentence_says_where_the_far_end_lies(examination):
    finding = queries.findings_of(shot(examination).case)[0]
    words = queries.standard_sentence_of(finding)
    assert re.search(r"The exit is on the .+, about \d+ cm above the heel\.", words)


@pytest.mark.parametrize("second", ["entrance"])
def test_an_end_is_marked_once(examination, second):
    with pytest.raises(Refused) as refused:
        shot(examination, end("entrance"), end(second))
    assert refused.value.field == "end"
    finding = shot(examination)
    with pytest.raises(Refused):
        place_point(finding, kind="paired", end="recovered")


def test_a_voided_end_can_be_placed_again(examination):
    finding = shot(examination)
    far = finding.marks.get(end="exit")
    actions.void_mark(
        examination.pathologist,
        case_id=examination.case_id,
        mark_id=far.pk,
        version=1,
        reason="It was another wound.",
    )
    placed = place_point(finding, kind="paired", end="recovered")
    assert placed.letter == "b"


def test_a_pattern_keeps_its_count_and_says_it(examination):
    finding = make_finding(examination, term="Pellet wounds", marks=[pattern(12, 15)])
    mark = finding.marks.get()
    assert (mark.count_low, mark.count_high, mark.kind_words) == (12, 15, "pattern of 12 to 15")
    assert mark.area_percent > 0
    words = queries.standard_sentence_of(finding)
    assert "Within the outlined area are 12 to 15 separate marks." in words


def test_a_pattern_that_cannot_be_counted_out_says_at_least(examination):
    finding = make_finding(examination, marks=[pattern(20)])
    assert finding.marks.get().kind_words == "pattern of at least 20"


@pytest.mark.parametrize(
    ("mark", "field"),
    [
        (pattern(None), "count_low"),
        (pattern(9, 3), "count_high"),
        ({**a_mark(), "count_low": 2}, "count_low"),
        ({**a_mark(), "end": "exit"}, "end"),
        (a_mark("paired"), "end"),
    ],
)
def test_what_does_not_make_a_mark_is_refused_beside_its_field(examination, mark, field):
    with pytest.raises(Refused) as refused:
        make_finding(examination, marks=[mark])
    assert refused.value.field == field
    assert not Mark.objects.exists()


def test_an_area_keeps_its_share_of_the_surface(examination):
    mark = make_finding(examination, marks=[a_mark("area", AREA)]).marks.get()
    assert Decimal("0.1") < mark.area_percent < Decimal(3)
    assert make_finding(examination, marks=[a_mark()]).marks.get().area_percent is None


def test_the_form_takes_the_count_and_the_far_end_with_what_was_drawn(examination, client):
    client.force_login(examination.pathologist)
    marks = [
        {**a_mark("pattern", AREA), "id": str(new_id())},
        {**end("entrance"), "id": str(new_id())},
        {**end("exit", [[60.0, 300.0]], "posterior"), "id": str(new_id())},
    ]
    sent = {
        "record_id": str(new_id()),
        "klass": "injury",
        "term": "Shotgun wound",
        "marks": json.dumps(marks),
        "far_end": "recovered",
        "count_high": "15",
    }
    url = f"/cases/{examination.case_id}/findings/new/"
    refused = client.post(url, sent)
    assert refused.status_code == 422
    assert "Say how many marks the pattern has" in refused.content.decode()
    assert client.post(url, {**sent, "count_low": "12"}).status_code == 302
    kinds = set(Mark.objects.values_list("kind", "end", "count_low", "count_high"))
    assert kinds == {
        ("pattern", "", 12, 15),
        ("paired", "entrance", None, None),
        ("paired", "recovered", None, None),
    }


def test_the_api_takes_and_prints_pairs(examination, client):
    client.force_login(examination.pathologist)
    finding = shot(examination, end("entrance"))
    answer = client.post(
        f"/api/cases/{examination.case_id}/findings/{finding.pk}/marks/",
        {
            "id": str(new_id()),
            "view": "posterior",
            "kind": "paired",
            "points": [[60.0, 300.0]],
            "end": "exit",
        },
        content_type="application/json",
    )
    assert answer.status_code == 201, answer.content
    assert (answer.json()["end"], answer.json()["letter"]) == ("exit", "b")


def middle_of_a_part(view):
    box = SCHEMATICS[view].box
    for row in range(1, 40):
        for column in range(1, 40):
            u, v = box.x + box.width * column / 40, box.y + box.height * row / 40
            part = part_at(view, u, v)
            if part is not None:
                return part, [round(u, 1), round(v, 1)]
    raise AssertionError(view)


@pytest.mark.parametrize("view", SCHEMATICS)
def test_a_mark_on_a_schematic_has_a_part_but_no_height(examination, view):
    part, at = middle_of_a_part(view)
    finding = make_finding(examination, marks=[a_mark("point", [at], view)])
    mark = finding.marks.get()
    assert (mark.region, mark.surface_point, finding.above_heel_cm) == (part.key, None, None)
    assert finding.place.lower() == part.term.lower()
    assert finding.place_source == "derived"


def test_a_position_beside_a_schematic_mark_is_measured_by_hand(examination):
    _, at = middle_of_a_part("skull_left")
    finding = make_finding(
        examination,
        marks=[a_mark("point", [at], "skull_left")],
        above_heel_cm=Decimal("164.0"),
    )
    assert (finding.above_heel_cm, finding.position_source) == (Decimal("164.0"), "measured")


def test_every_view_and_every_schematic_is_offered_once(examination, client):
    offered = [key for _, views in chart_views.GROUPS for key, _ in views]
    assert sorted(offered) == sorted([*VIEWS, *SCHEMATICS])
    assert set(chart_views.OPPOSITE) == set(offered)
    client.force_login(examination.pathologist)
    page = client.get(f"/cases/{examination.case_id}/chart/?view=heart_anterior")
    assert "data-schematic" in page.content.decode()
    assert "Heart, front" in page.content.decode()


@pytest.mark.parametrize(
    ("view", "points", "words"),
    [
        ("anterior", [[0, 300], [0, 324.6]], "about 4.2 cm as drawn, vertical"),
        ("anterior", [[0, 300], [20, 302]], "about 3.4 cm as drawn, horizontal"),
        ("posterior", [[0, 300], [10, 310]], "about 2.4 cm as drawn, oblique"),
        ("head_superior", [[0, 0], [0, 10]], "about 1.7 cm as drawn"),
        ("skull_left", [[0, 0], [0, 10]], ""),
    ],
)
def test_a_line_says_its_length_and_direction_as_drawn(view, points, words):
    # 171 cm over 1000 units of the drawing: 24.6 units are 4.2 cm.
    assert drawn_line_words(view, points, 171.0) == words


def test_the_panel_says_how_a_line_was_drawn_beside_what_was_measured(examination, client):
    client.force_login(examination.pathologist)
    cut = make_finding(examination, marks=[a_mark("line", [[-60, 290], [-60, 315]])])
    page = client.get(f"/cases/{examination.case_id}/chart/?finding={cut.pk}").content.decode()
    assert "line, about 4.3 cm as drawn, vertical" in page
