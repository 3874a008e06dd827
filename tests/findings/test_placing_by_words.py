"""Placing a mark by words on the page: with JavaScript before saving, without it while saving."""

from __future__ import annotations

import html
import json
import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from findings.models import Examination, Finding, Mark
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.findings.builders import a_mark, make_finding

pytestmark = pytest.mark.django_db
GROIN = {
    "place_region": "Right inguinal region",
    "above_heel_cm": "89.8",
    "midline_cm": "8.6",
    "midline_where": "right of anterior",
    "keeps_distances": "on",
}


@pytest.fixture
def pathologist(client: Client, examination: Examination) -> Client:
    client.force_login(examination.pathologist)
    return client


def address(name: str, examination: Examination, *more: Any) -> str:
    return reverse(f"findings:{name}", args=[examination.case_id, *more])


def placed(client: Client, examination: Examination, **said: str) -> Any:
    return client.get(address("chart-place", examination), said)


def text_of(answer: Any) -> str:
    return html.unescape(answer.content.decode())


def test_the_chart_is_told_the_mark_and_nothing_is_saved(
    pathologist: Client, examination: Examination
) -> None:
    answer = placed(pathologist, examination, **GROIN)
    assert answer.status_code == 200
    found = re.search(r'data-mark="([^"]*)"', answer.content.decode())
    assert found is not None
    mark = json.loads(html.unescape(found[1]))
    assert (mark["view"], mark["kind"]) == ("anterior", "point")
    ((u, v),) = mark["points"]
    # The body's right lies at the page's left.
    assert u == pytest.approx(-50.3, abs=3) and v == pytest.approx(1000 - 525.1, abs=3)
    page = text_of(answer)
    # What places the next mark is empty, what was measured stays.
    assert "Right inguinal region" not in page.split("<datalist")[0]
    assert 'value="89.8"' in page
    assert not Mark.objects.exists()


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({}, "place_region", "Name the region."),
        ({"place_region": "left buttock"}, "above_heel_cm", "Give the height above the heel:"),
        ({"place_region": "groin"}, "place_region", "Say which side: left inguinal region,"),
        (
            {**GROIN, "midline_where": "left of anterior"},
            "midline_where",
            "Right inguinal region does not lie left of the midline. Check the side.",
        ),
        ({**GROIN, "midline_where": ""}, "midline_where", "Say on which side of which midline."),
        ({**GROIN, "midline_cm": ""}, "midline_cm", "Give the distance."),
        ({**GROIN, "above_heel_cm": "tall"}, "above_heel_cm", "Enter a number."),
    ],
)
def test_what_is_wrong_stands_beside_its_field(
    pathologist: Client, examination: Examination, said: dict[str, str], field: str, words: str
) -> None:
    answer = placed(pathologist, examination, **said)
    page = text_of(answer)
    assert answer.status_code == 422
    assert words in page and f'id="id_{field}_error"' in page
    assert "data-mark" not in page and "Place it at the nearest spot" not in page


def test_the_nearest_spot_is_offered_and_taken_only_when_it_is_asked_for(
    pathologist: Client, examination: Examination
) -> None:
    high = {**GROIN, "above_heel_cm": "121"}
    answer = placed(pathologist, examination, **high)
    assert answer.status_code == 422
    assert "lies 87 to 98 cm above the heel" in text_of(answer)
    assert "Place it at the nearest spot of the region" in text_of(answer)
    answer = placed(pathologist, examination, **high, place_nearest="on")
    assert answer.status_code == 200
    assert "the distances stay as measured" in text_of(answer)


def test_only_who_may_examine_is_answered(client: Client, examination: Examination) -> None:
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert placed(client, examination, **GROIN).status_code == 403
    client.force_login(examination.pathologist)
    unknown = reverse("findings:chart-place", args=[new_id()])
    assert client.get(unknown, GROIN).status_code == 404


def test_a_finding_is_placed_by_words_while_it_is_saved_and_once_only(
    pathologist: Client, examination: Examination
) -> None:
    entry = {"record_id": str(new_id()), "klass": "injury", "term": "Contusion", **GROIN}
    for _ in range(2):
        answer = pathologist.post(address("finding-new", examination), entry)
        assert answer.status_code == 302
    finding = Finding.objects.get()
    mark = finding.marks.get()
    assert (mark.region, finding.region) == ("inguinal_r", "inguinal_r")
    assert finding.place == "Right inguinal region"
    # What was typed is what was measured; it is not the drawing's.
    assert finding.position_source == "measured"
    assert (finding.above_heel_cm, finding.from_midline_cm) == (Decimal("89.8"), Decimal("-8.6"))

    wrong = entry | {"record_id": str(new_id()), "midline_where": "left of anterior"}
    answer = pathologist.post(address("finding-new", examination), wrong)
    assert answer.status_code == 422
    assert "does not lie left of the midline" in text_of(answer)
    assert Finding.objects.count() == 1
    # The fold is open on what was typed in it, and shut where the mark was drawn.
    fold = '<details class="panel-more" open>\n    <summary>Place by words'
    assert fold in answer.content.decode()
    unmeasured = {"length_cm": "3", "term": "Contusion", "klass": "injury"}
    for typed, count in ((GROIN, 1), ({}, 0)):
        entry = {"record_id": str(new_id()), **unmeasured, **typed}
        refused = pathologist.post(address("finding-new", examination), entry)
        assert "Say how it was measured." in text_of(refused)
        assert refused.content.decode().count(fold) == count


def test_a_mark_is_added_and_moved_by_words(pathologist: Client, examination: Examination) -> None:
    finding = make_finding(examination, marks=[a_mark()])
    first = finding.marks.get()
    at = {"above_heel_cm": "89", "midline_cm": "7", "midline_where": "left of posterior"}
    entry = {"record_id": str(new_id()), "place_region": "left buttock", **at}
    new = address("mark-new", examination, finding.pk)
    assert pathologist.post(new, entry).status_code == 302
    added = finding.marks.exclude(pk=first.pk).get()
    assert (added.region, added.view, added.kind) == ("buttock_l", "posterior", "point")

    move = address("mark-move", examination, first.pk)
    drawn = {"view": "anterior", "kind": "point", "points": "[[-72.0, 290.0]]"}
    answer = pathologist.post(move, {**drawn, "version": "1", "place_region": "cheek"})
    assert answer.status_code == 422 and "Say which side" in text_of(answer)
    at = {"above_heel_cm": "77", "midline_cm": "9", "midline_where": "left of anterior"}
    line = {**at, "place_kind": "line", "place_length_cm": "4", "place_way": "head to foot"}
    entry = {**drawn, "version": "1", "place_region": "left anterior thigh", **line}
    assert pathologist.post(move, entry).status_code == 302
    first.refresh_from_db()
    assert (first.region, first.kind) == ("thigh_anterior_l", "line")

    # Alone, the region would let the report state a position that nobody measured.
    answer = pathologist.post(new, {"record_id": str(new_id()), "place_region": "left buttock"})
    assert answer.status_code == 422 and "that nobody measured" in text_of(answer)

    # Nothing drawn and nothing said is told where the chart is, as before.
    answer = pathologist.post(new, {"record_id": str(new_id())})
    assert answer.status_code == 422 and "Place the mark on the chart." in text_of(answer)
