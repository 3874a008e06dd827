"""Gunshot and sharp wounds in fields of their own: rules, words, form, API, report.

The clock face with 12 toward the head, ends, ring of abrasion, soot and stippling as they are
commonly described: common practice.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from cases.review.content import report_content
from findings import actions, queries
from findings.models import Examination, Finding
from findings.negatives import STATEMENTS
from findings.wounds import WOUND_FIELDS, Wound, opposite, wound_words, wrong_with_wound
from me_office.audit.errors import Invalid, Refused
from me_office.audit.ids import new_id
from tests.findings.builders import a_mark, make_examination, make_finding


@pytest.mark.parametrize(
    ("wound", "said"),
    [
        (Wound(), ""),
        (
            Wound(clock_hour=2, first_end="pointed", second_end="squared", closed_length_mm=21),
            "Its long axis runs from 2 to 8 o'clock, 12 being toward the head. The 2 o'clock end "
            "is pointed and the 8 o'clock end is squared. With its edges brought together it is "
            "2.1 cm long.",
        ),
        (
            Wound(clock_hour=12, second_end="undetermined"),
            "Its long axis runs from 12 to 6 o'clock, 12 being toward the head. The 6 o'clock end "
            "cannot be determined.",
        ),
        (
            Wound(ring_12_mm=2, ring_3_mm=1, ring_6_mm=0.5, ring_9_mm=1),
            "The ring of marginal abrasion is 0.2 cm wide at 12 o'clock, 0.1 cm at 3 o'clock, 0.05 "
            "cm at 6 o'clock and 0.1 cm at 9 o'clock.",
        ),
        (
            Wound(ring_3_mm=1.5),
            "The ring of marginal abrasion is 0.15 cm wide at 3 o'clock.",
        ),
        (
            Wound(ring_12_mm=0, ring_3_mm=0, ring_6_mm=0, ring_9_mm=0),
            "There is no ring of marginal abrasion.",
        ),
        (
            Wound(ring_12_mm=0, ring_3_mm=2),
            "The ring of marginal abrasion is 0 cm wide at 12 o'clock and 0.2 cm at 3 o'clock.",
        ),
        (
            Wound(soot="present", soot_across_mm=15),
            "Soot is present over 1.5 cm.",
        ),
        (
            Wound(stippling="present", stippling_across_mm=40, stippling_down_mm=35),
            "Stippling is present over 4.0 × 3.5 cm.",
        ),
        (
            Wound(soot="not seen", stippling="cannot be judged"),
            "No soot is seen on the skin around it. Stippling cannot be judged.",
        ),
    ],
)
def test_the_fields_of_a_wound_are_said_in_sentences(wound, said):
    assert wound_words(wound) == said


def test_the_hours_of_a_clock_face_lie_across_from_one_another():
    assert [opposite(hour) for hour in range(1, 13)] == [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    ("wound", "klass", "field"),
    [
        (Wound(), "artifact", None),
        (Wound(soot="present"), "injury", None),
        (Wound(soot="present"), "artifact", "soot"),
        (Wound(first_end="pointed"), "injury", "clock_hour"),
        (Wound(second_end="pointed"), "injury", "clock_hour"),
        (Wound(clock_hour=3, second_end="pointed"), "injury", None),
        (Wound(soot="not seen", soot_across_mm=3), "injury", "soot"),
        (Wound(soot_down_mm=3), "injury", "soot"),
        (Wound(stippling="present", stippling_down_mm=3), "injury", "stippling_across_mm"),
        (Wound(stippling="present", stippling_across_mm=3), "injury", None),
    ],
)
def test_wound_fields_hold_together(wound, klass, field):
    wrong = wrong_with_wound(wound, klass=klass)
    assert (wrong[0] if wrong else None) == field


@pytest.mark.django_db
def test_a_wound_is_recorded_by_form_and_api_and_stands_in_the_report(client):
    examination = make_examination()
    case = examination.case
    client.force_login(examination.pathologist)
    form = {
        "record_id": new_id(),
        "klass": "injury",
        "term": "Gunshot wound of entrance",
        "place": "Left chest",
        "ring_12_mm": "2",
        "soot": "not seen",
        "stippling": "present",
        "stippling_across_mm": "40",
    }
    made = client.post(reverse("findings:finding-new", args=[case.pk]), form)
    assert made.status_code == 302, made.content
    finding = Finding.objects.get(case=case)
    assert (finding.ring_12_mm, finding.stippling) == (Decimal("2"), "present")
    said = (
        "The ring of marginal abrasion is 0.2 cm wide at 12 o'clock. No soot is seen on the skin "
        "around it. Stippling is present over 4.0 cm."
    )
    page = client.get(f"/cases/{case.pk}/chart/?finding={finding.pk}").content.decode()
    assert said.replace("'", "&#x27;") in page
    path = f"/api/cases/{case.pk}/findings/{finding.pk}/"
    read = client.get(path).json()
    assert set(WOUND_FIELDS) <= set(read) and read["standard_sentence"].endswith(said)
    wrong = client.patch(path, {"version": 1, "clock_hour": 13}, content_type="application/json")
    assert wrong.status_code == 422 and "clock_hour" in wrong.json()["errors"]
    refused = client.patch(
        path, {"version": 1, "first_end": "pointed"}, content_type="application/json"
    )
    assert refused.status_code == 422 and refused.json()["field"] == "clock_hour"
    section = next(s for s in report_content(case.pk)["sections"] if s["key"] == "injury")
    assert said in section["passages"][-1]["text"]
    missing = {**form, "record_id": new_id(), "first_end": "pointed"}
    answer = client.post(reverse("findings:finding-new", args=[case.pk]), missing)
    assert answer.status_code == 422
    assert "Say toward which hour the first end points." in answer.content.decode()


@pytest.mark.django_db
def test_range_of_fire_is_offered_as_an_opinion_only(client):
    examination = make_examination()
    finding = make_finding(examination, marks=[a_mark()], term="Gunshot wound of entrance")
    client.force_login(examination.pathologist)
    where = reverse("findings:interpretation-new", args=[examination.case_id, finding.pk])
    page = client.get(where).content.decode()
    assert '<option value="intermediate range of fire">' in page
    assert not any("range" in name for name in WOUND_FIELDS)


@pytest.mark.django_db
def test_blood_in_cavities_is_a_number_that_is_printed_found_and_compared():
    examination = make_examination(cavities=STATEMENTS["cavities-pleura"].words)
    saved = actions.record_examination(
        examination.pathologist,
        case_id=examination.case_id,
        version=1,
        entry={"blood_left_chest_ml": 1400, "blood_right_chest_ml": 0, "blood_abdomen_ml": 250},
    )
    assert saved.blood_words == (
        "Blood in body cavities: 1,400 mL in the left chest cavity, 250 mL in the abdominal "
        "cavity. No blood in the right chest cavity."
    )
    asked = [one.words for one in queries.questions_of(examination.case)]
    assert asked == [
        "“The pleural cavities contain no abnormal fluid.” is stated; 1,400 mL of blood in the "
        "left chest cavity may speak against it."
    ]
    sections = report_content(examination.case_id)["sections"]
    internal = next(section for section in sections if section["key"] == "internal")
    assert saved.blood_words in [passage["text"] for passage in internal["passages"]]
    assert Examination.objects.filter(blood_left_chest_ml__gte=1000).count() == 1
    with pytest.raises((Invalid, Refused)):
        actions.record_examination(
            examination.pathologist,
            case_id=examination.case_id,
            version=2,
            entry={"blood_abdomen_ml": 20001},
        )
