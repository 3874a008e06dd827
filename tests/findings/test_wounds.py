"""Gunshot and sharp wounds in fields of their own: form, API, report."""

from decimal import Decimal

import pytest
from django.urls import reverse

from cases.review.content import report_content
from findings.models import Examination, Finding
from findings.questions import queries
from findings.questions.negatives import STATEMENTS
from findings.words.sentences import size_words
from findings.words.wounds import WOUND_FIELDS
from me_office.audit.errors import Invalid, Refused
from me_office.audit.ids import new_id
from tests.findings.builders import a_mark, make_examination, make_finding, write_in


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
    assert "Enter the hour toward which the first end points." in answer.content.decode()


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
    saved = write_in(
        examination, 1, blood_left_chest_ml=1400, blood_right_chest_ml=0, blood_abdomen_ml=250
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
        write_in(examination, 2, blood_abdomen_ml=20001)


@pytest.mark.parametrize(
    ("length_mm", "said"),
    [(0.6, "0.06"), (1.0, "0.1"), (1.1, "0.11"), (1.9, "0.19"), (1.99, "0.2"), (2.0, "0.2"),
     (2.1, "0.2"), (9.0, "0.9"), (110.0, "11.0")],
)  # fmt: skip
def test_a_hole_of_less_than_two_millimeters_keeps_its_tenths(length_mm, said):
    assert size_words(length_mm, length_mm) == f"{said} × {said} cm"
    assert Finding(length_mm=Decimal(str(length_mm))).size_words == f"{said} cm"
