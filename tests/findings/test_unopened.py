"""What speaks of an opened body is asked about where the examination opened none.

Common practice: an external examination opens nothing; what lies inside is not described.
"""

from __future__ import annotations

import pytest
from django.urls import reverse

from findings import actions
from findings.models import Examination
from findings.organs.models import OrganWeight
from findings.questions import queries
from findings.questions.negatives import STATEMENTS
from findings.questions.unopened import tells_of_an_opened_body, unopened
from tests.findings.builders import make_examination

KINDS = dict(Examination.KINDS)
OPENS_NONE = {"external", "view and release", "chart review"}
SKIN_NOT_SEEN = {"chart review", "imaging only"}


def asked(kind, written=None, **measured):
    return [one.section for one in unopened(kind, KINDS[kind], written or {}, **measured)]


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_examination_has_statements_that_do_not_go_with_it(kind):
    written = {one.section: one.words for one in STATEMENTS.values()}
    inside = {"cavities", "internal", "deep_dissection", "systems"}
    expected = inside if kind in OPENS_NONE else set()
    expected |= {"external", "treatment"} if kind in SKIN_NOT_SEEN else set()
    assert set(asked(kind, written)) == expected
    text = {"cavities": "Adhesions on the left.", "internal": "The heart is large."}
    measured = {"blood": True, "narrowings": True, "weights": True}
    opens_none = kind in OPENS_NONE - {"chart review"}
    assert asked(kind, text) == (["cavities", "internal"] if opens_none else [])
    assert asked(kind, **measured) == (["cavities", "internal", "organs"] if opens_none else [])
    assert asked(kind, {"external": "Old scars. The liver edge is felt."}) == []


def test_a_statement_and_the_text_around_it_are_asked_about_once():
    heart = next(one for one in STATEMENTS.values() if one.section == "internal")
    text = {"internal": f"The spleen is soft. {heart.words}", "deep_dissection": "Neck in layers."}
    first, second = unopened("external", KINDS["external"], text, weights=False)
    assert (first.section, second.section) == ("internal", "deep_dissection")
    assert first.words == (
        f"“{heart.words}” is stated, and the examination is recorded as external examination. "
        "The body was not opened in this kind of examination. Check both."
    )
    assert second.words == (
        "“Deep dissection and reflection” is written, and the examination is recorded as external "
        "examination, in which the body is not opened. Check the text and the kind of examination."
    )


def test_what_was_measured_is_named_one_by_one():
    tail = (
        " recorded, and the examination is recorded as external examination, in which the body is "
        "not opened. Check both."
    )
    for given, words in (
        ("blood", "Blood in body cavities is"),
        ("narrowings", "Narrowings of coronary arteries are"),
        ("weights", "Weights of organs are"),
    ):
        (one,) = unopened("external", KINDS["external"], {}, **{given: True})
        assert one.words == words + tail
    assert unopened("external", KINDS["external"], {}) == []


SILENT = [
    "", "  \n ", "Not examined.", "Not opened. Not dissected.", "The body was not opened.",
    "No internal examination was made.", "External examination only.", "None", "N/A", "n/a.",
    "Deferred; the family declined", "Not applicable", "No autopsy was authorized.",
    "An internal examination is not indicated.", "CT: no fracture of the skull.",
    "By the hospital’s radiograph, three fractured ribs on the left.",
    "Coronary stents by the records of the hospital.", "Appendectomy (operation of 2019).",
    "The trunk was never opened at this office; not examined.",
]  # fmt: skip
SPEAKS = [
    "The heart weighs 410 g.", "Liver: congested", "The lungs are not congested.",
    "No fluid in the chest.", "Not opened. The left chest holds 400 mL.",
    "CT: no fracture. The brain is swollen.", "The intestine is unremarkable; spleen soft",
    "The ribs are fractured on both sides\nNot examined further.",
]  # fmt: skip


def test_a_text_that_says_why_nothing_is_inside_is_left_alone():
    assert [text for text in SILENT if tells_of_an_opened_body(text)] == []
    assert [text for text in SPEAKS if not tells_of_an_opened_body(text)] == []


@pytest.mark.django_db
def test_a_kind_that_was_changed_is_asked_about_on_examination_report_and_by_the_api(client):
    examination = make_examination()
    case, vasko = examination.case, examination.pathologist
    inside = next(one for one in STATEMENTS.values() if one.section == "cavities")
    actions.confirm_negative(vasko, case_id=case.pk, version=1, statement=inside.key)
    made = {"case": case, "examination": examination, "created_by": vasko, "changed_by": vasko}
    OrganWeight.objects.create(organ="heart", weight_g=410, **made)
    assert queries.questions_of(case) == []
    actions.record_examination(
        vasko, case_id=case.pk, version=2,
        entry={"kind": "external", "kind_reason": "Family’s wish", "lad_percent": 30},
    )  # fmt: skip
    found = queries.questions_of(case)
    assert [one.section for one in found] == ["cavities", "internal", "organs"]
    client.force_login(vasko)
    api = client.get(f"/api/cases/{case.pk}/examination/questions/").json()
    pages = [
        client.get(f"/cases/{case.pk}/{name}/").content.decode()
        for name in ("examination", "report")
    ]
    for one in found:
        assert one.words in [row["words"] for row in api]
        assert all(one.words in page for page in pages)
    assert (
        reverse("findings:organs", args=[case.pk]) in pages[1].split("Weights of organs")[1][:400]
    )
    OrganWeight.objects.update(voided_at=examination.began_at)
    assert [one.section for one in queries.questions_of(case)] == ["cavities", "internal"]
