"""The report's findings: head to foot or by mechanism, several together, meaning apart."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from django.urls import reverse

from cases.drafting.actions import add_office_word
from cases.review import actions
from cases.review.content import content_of, report_content
from cases.review.found import findings_in, speaks_of
from cases.review.models import Report
from cases.review.passages import passages_about
from cases.review.queries import case_to_report_on, passages_of
from findings.models import Examination, Finding, Interpretation, LayerFinding
from findings.queries import lies_of
from me_office.audit.ids import new_id
from tests.builders import as_person, make_case
from tests.review.test_review import examined, injured, make_people

SCRATCH = {
    "term": "Abrasion", "place": "Left forearm, back", "seen_as": "red, oblique",
    "shape": "linear", "timing": "antemortem", "timing_ground": "red margins",
}  # fmt: skip


@pytest.fixture
def opened(db: Any) -> Examination:
    """An examination with a length, of a case with its pathologist."""
    vasko, _ = make_people()
    return examined(make_case(), vasko, crown_heel_cm=178)


def found(examination: Examination, number: int, **fields: Any) -> Finding:
    return injured(examination.case, examination, examination.pathologist, number, **fields)


def told(examination: Examination, section: str = "injury") -> list[dict[str, Any]]:
    sections = {one["key"]: one for one in report_content(examination.case_id)["sections"]}
    return [one for one in sections[section]["passages"] if one["key"] != "injury-count"]


def keys(passages: Iterable[dict[str, Any]]) -> list[tuple[str, str]]:
    return [(one["group"], one["key"]) for one in passages]


def marked(finding: Finding, view: str, region: str, height: int | None) -> None:
    finding.marks.create(
        case=finding.case, view=view, kind="point", points=[[0.5, 0.5]], region=region,
        surface_point=None if height is None else [0, 0, height],
        created_by=finding.created_by, changed_by=finding.created_by,
    )  # fmt: skip


def several_places(opened: Examination) -> None:
    """A leg, two chests, a skull and a head, recorded in another order than they lie."""
    for number, mechanism, view, region, height in (
        (1, "Blunt force", "front", "leg_anterior_l", 300),
        (2, "Sharp force", "front", "pectoral_r", 1300),
        (3, "Blunt force", "front", "pectoral_r", 1340),
        (4, "Blunt force", "skull_left", "", None),
        (5, "Gored", "front", "forehead", 1700),
        (6, "", "", "", None),
    ):
        finding = found(opened, number, mechanism=mechanism, seen_as=f"no {number}")
        if view:
            marked(finding, view, region, height)


def test_injuries_are_told_from_head_to_foot_and_by_drawing(opened):
    several_places(opened)
    assert keys(told(opened)) == [
        ("Face", "finding-5"),
        ("Chest", "finding-3"),
        ("Chest", "finding-2"),
        ("Knees, lower legs and ankles", "finding-1"),
        ("Skull, left side", "finding-4"),
        ("Without a place on the chart", "finding-6"),
    ]


def test_a_finding_of_several_marks_stands_where_the_highest_lies(opened):
    low, high = ("pectoral_r", 1340), ("clavicular_l", 1420)
    for number, order in ((1, (low, high)), (2, (high, low))):
        finding = found(opened, number, seen_as=f"no {number}")
        marked(finding, "skull_left", "", None)
        for region, height in order:
            marked(finding, "front", region, height)
    assert keys(told(opened)) == [("Chest", "finding-1"), ("Chest", "finding-2")]
    here = Finding.objects.filter(case=opened.case)
    assert {lies_of(one).region for one in here} == {"clavicular_l"}


def test_an_office_may_group_injuries_by_what_made_them(opened, settings):
    several_places(opened)
    settings.REPORT_INJURIES = "mechanism"
    assert keys(told(opened)) == [
        ("Blunt force", "finding-3"),
        ("Blunt force", "finding-1"),
        ("Blunt force", "finding-4"),
        ("Sharp force", "finding-2"),
        ("Gored", "finding-5"),
        ("Without a recorded mechanism", "finding-6"),
    ]


def test_an_office_chooses_where_summary_and_opinion_stand(opened, settings):
    found(opened, 1)
    who = {"created_by": opened.pathologist, "changed_by": opened.pathologist}
    words = {"summary": "One.", "opinion": "Two.", "history": "Then."}
    Report.objects.create(case=opened.case, author=opened.pathologist, **words, **who)
    case = case_to_report_on(opened.case_id)
    titles = [one["title"] for one in content_of(case)["sections"]]
    assert titles[:4] == [
        "Identification", "Summary of findings", "Opinion", "History and circumstances"
    ]  # fmt: skip
    settings.REPORT_OPINION = "last"
    last = [one["title"] for one in content_of(case)["sections"]]
    assert last == [titles[0], *titles[3:], *titles[1:3]]


def test_what_a_finding_means_is_a_passage_of_its_own(opened):
    finding = found(opened, 1, timing="antemortem", timing_ground="swelling")
    who = {"case": opened.case, "created_by": opened.pathologist, "changed_by": opened.pathologist}
    LayerFinding.objects.create(
        finding=finding, layer="subcutis", examined=True, found="hemorrhage", **who
    )
    Interpretation.objects.create(
        finding=finding, statement="A kick", standing="not excluded", ground="", **who
    )
    seen, meant = told(opened)
    assert seen["text"] == (
        "On the right lateral chest wall is a contusion. The subcutaneous tissue shows hemorrhage."
    )
    assert (meant["key"], meant["group"], "number" in meant) == (
        "finding-1-meaning", seen["group"], False
    )  # fmt: skip
    assert meant["text"] == (
        "The contusion was sustained before death, judging by swelling. A kick cannot be excluded."
    )
    keyed = [one.key for one in passages_about(opened.case, finding_ids=[finding.pk])]
    assert keyed == ["finding-1", "finding-1-meaning"]


def test_several_of_a_kind_are_told_in_one_sentence_each_with_its_number(opened):
    scratches = [found(opened, n, length_mm=10 * n, measured_by="ruler", **SCRATCH) for n in (2, 1)]
    other = found(opened, 3, length_mm=30, measured_by="ruler", **{**SCRATCH, "shape": "curved"})
    own = found(opened, 4, length_mm=40, sentence="A scratch lies there.", **SCRATCH)
    passages = told(opened)
    assert [one["key"] for one in passages if "number" in one] == [
        "finding-1", "finding-3", "finding-4"
    ]  # fmt: skip
    first, meant = passages[:2]
    assert first["text"] == (
        "On the left forearm, back, are two red linear abrasions, 1.0 to 2.0 cm long. They are "
        "oblique."
    )
    assert [one["number"] for one in first["told"]] == [1, 2]
    assert meant["text"] == "The abrasions were sustained before death, judging by red margins."
    for one in scratches:
        assert speaks_of(first, one.pk) and speaks_of(meant, one.pk)
        about = [passage.key for passage in passages_about(opened.case, finding_ids=[one.pk])]
        assert about == ["finding-1", "finding-1-meaning"]
    assert not speaks_of(first, other.pk) and not speaks_of(first, own.pk)
    assert findings_in({"key": "opinion-1", "text": "Dead."}) == []


def test_each_number_of_the_chart_keeps_its_own_photographs(opened):
    for n in (1, 2):
        found(opened, n, length_mm=10 * n, measured_by="ruler", **SCRATCH)
    case = case_to_report_on(opened.case_id)
    here = Finding.objects.filter(case=opened.case).order_by("number")
    first, second = (str(one.pk) for one in here)
    case.review_shown = [
        {"finding": second, "photograph": 7}, {"finding": first, "photograph": 9}
    ]  # fmt: skip
    content = content_of(case)
    assert [one["photographs"] for one in content["chart"]["legend"]] == [[9], [7]]
    shown = next(one for one in passages_of(content) if one["key"] == "finding-1")
    assert shown["photographs"] == [7, 9]


def test_wording_is_asked_about_where_the_report_is_written_and_where_it_is_reviewed(ready):
    case, vasko, thorne = ready
    words = "It appears to be a fall. A laceratoin of [ ] cm and haemorrhage."
    entry = {"opinion": words, "history": "", "summary": ""}
    actions.write_report(vasko, case_id=case.pk, record_id=new_id(), version=1, entry=entry)
    asked = "“appears to be” leaves open whether it is so."
    address = reverse("review:report", args=[case.pk])
    page = as_person(vasko).get(address).content.decode()
    assert asked in page and '<a href="#passage-opinion-1">Opinion</a>' in page
    assert (
        "“laceratoin” is in no word list of this office. It may be meant as “laceration”." in page
    )
    assert "“haemorrhage” is a British spelling: “hemorrhage” in American English." in page
    assert "A blank ([ ]) is not filled in." in page
    assert reverse("drafting:words") + "?word=laceratoin" in page
    add_office_word(vasko, record_id=new_id(), entry={"word": "Laceratoin"})
    assert "laceratoin” is in" not in as_person(vasko).get(address).content.decode()
    actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=2)
    page = as_person(thorne).get(reverse("review:review", args=[case.pk])).content.decode()
    assert asked in page
