"""What does not go together is shown in both directions: before, after, and at the review."""

import uuid

import pytest

from findings import actions
from findings.models import Examination
from findings.paths import actions as path_actions
from findings.questions import queries
from me_office.audit.errors import Invalid, Refused
from tests.findings.builders import a_mark, make_examination, make_finding, void_finding, write_in

CHEST = "The chest shows no injury."
IN_THE_MIDLINE = [[0.0, 330.0]]


def confirm(examination, statement):
    return actions.confirm_negative(
        examination.pathologist,
        case_id=examination.case_id,
        version=Examination.objects.get(pk=examination.pk).version,
        statement=statement,
    )


def words(case):
    return [one.words for one in queries.questions_of(case)]


@pytest.mark.django_db
def test_a_statement_is_contradicted_whichever_came_first(client):
    examination = make_examination()
    case = examination.case
    confirm(examination, "external-chest")
    assert words(case) == []
    finding = make_finding(examination, marks=[a_mark()], term="Gunshot wound of entrance")
    expected = f"“{CHEST}” is stated; finding 1 may speak against it."
    assert words(case) == [expected]
    client.force_login(examination.pathologist)
    chart = client.get(f"/cases/{case.pk}/chart/?finding={finding.pk}").content.decode()
    assert f"It may speak against a statement that is confirmed: “{CHEST}”" in chart
    written = client.get(f"/cases/{case.pk}/examination/").content.decode()
    assert expected in written and "finding 1 may speak against it" in written
    assert (
        'name="request_key"' in written.split('id="negative-external-scalp"')[1].split("</li>")[0]
    )
    report = client.get(f"/cases/{case.pk}/report/").content.decode()
    assert expected in report and f"#{'external'}" in report
    api = client.get(f"/api/cases/{case.pk}/examination/questions/").json()
    about = {"finding_id": str(finding.pk), "section": "external", "offers": ""}
    assert api == [{"words": expected, **about}]
    offered = client.get(f"/api/cases/{case.pk}/examination/negatives/").json()
    against = {one["key"]: one["findings_against"] for one in offered if one["findings_against"]}
    assert against == {"external-chest": [1]}
    assert [one["key"] for one in offered if one["stated"]] == ["external-chest"]
    one = client.get(f"/api/cases/{case.pk}/findings/{finding.pk}/").json()
    assert one["questions"] == [f"It may speak against a statement that is confirmed: “{CHEST}”"]
    void_finding(finding, "Recorded in the wrong case")
    assert words(case) == []


@pytest.mark.django_db
def test_layers_and_paths_speak_too():
    examination = make_examination()
    confirm(examination, "internal-ribs")
    confirm(examination, "internal-heart")
    finding = make_finding(examination, marks=[a_mark()], term="Gunshot wound of entrance")
    where = {"case_id": examination.case_id, "finding_id": finding.pk}
    actions.record_layer(
        examination.pathologist,
        **where,
        record_id=uuid.uuid4(),
        entry={"layer": "bone", "examined": True, "found": "fracture of the fifth rib"},
    )
    assert [one.split("”")[0] for one in words(examination.case)] == ["“The ribs show no fracture."]
    path_actions.record_path(
        examination.pathologist,
        **where,
        record_id=uuid.uuid4(),
        entry={"structures": "Left lung\nHeart", "ends_as": "exit"},
    )
    assert [one.split("”")[0] for one in words(examination.case)] == [
        "“The heart shows no injury.",
        "“The ribs show no fracture.",
    ]


@pytest.mark.django_db
def test_a_place_said_by_hand_is_asked_about_when_its_side_is_wrong():
    examination = make_examination()
    make_finding(examination, marks=[a_mark(points=IN_THE_MIDLINE)], term="Abrasion")
    assert words(examination.case) == []
    wrong = make_finding(
        examination, marks=[a_mark(points=IN_THE_MIDLINE)], term="Scar", place="Left upper abdomen"
    )
    found = queries.questions_of(examination.case)
    assert [(one.words, one.finding_id) for one in found] == [
        ("Finding 2, scar: it lies in the midline, but its place says left.", wrong.pk)
    ]


@pytest.mark.django_db
def test_strap_muscles_wait_for_a_dissection_in_layers():
    examination = make_examination()
    with pytest.raises(Refused) as refused:
        confirm(examination, "internal-neck-muscles")
    assert refused.value.field == "statement"
    write_in(examination, 1, deep_dissection="The neck was dissected in layers.")
    assert "strap muscles" in confirm(examination, "internal-neck-muscles").internal


@pytest.mark.django_db
def test_coronary_arteries_are_recorded_in_percent_and_printed():
    examination = make_examination()
    confirm(examination, "internal-coronaries")
    saved = write_in(examination, 2, left_main_percent=0, lad_percent=80, rca_percent=0)
    assert saved.coronary_words == (
        "Narrowing of the coronary arteries: left anterior descending artery 80 %. "
        "No narrowing of the left main coronary artery and the right coronary artery."
    )
    assert words(examination.case) == [
        "“The coronary arteries show no significant stenosis.” is stated; left anterior descending "
        "artery 80 % may speak against it."
    ]
    with pytest.raises(Invalid):
        write_in(examination, 3, rca_percent=101)


@pytest.mark.django_db
def test_questions_take_as_many_statements_for_many_findings(django_assert_max_num_queries):
    from tests.findings.builders import fill

    examination = make_examination(external=CHEST)
    fill(examination, 60)
    with django_assert_max_num_queries(6):
        assert queries.questions_of(examination.case)
