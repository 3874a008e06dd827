"""The hole of a liver probe is asked for and offered, never recorded by itself. Common practice."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases import actions as case_actions
from cases.models import SceneReading
from findings.models import Finding
from findings.questions import queries
from findings.questions.probes import OFFERED, records_probe_hole
from findings.rules import FindingClass
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.shell.templatetags.office import moment
from tests.builders import make_staff
from tests.cases.entries import ago
from tests.findings.builders import make_examination, make_finding, void_finding

HOLES = [
    ("artifact", "Probe hole"), ("artifact", "PROBE HOLE", "round"),
    ("medical intervention", "Puncture", "by the liver thermometer"),
    ("artifact", "Puncture", "from the temperature taken at the scene"),
]  # fmt: skip
NO_HOLES = [
    ("injury", "Probe hole"), ("injury", "Stab wound", "probe passes"), ("artifact", "Ant bites"),
    ("medical intervention", "Needle puncture", "right upper quadrant"),
    ("artifact", "Conducted-energy probe mark"), ("artifact", "Hole", "ultrasound probe gel"),
    ("postmortem change", "Probe hole"), ("artifact", "Hole", "probed deeply"),
]  # fmt: skip


def test_a_probe_hole_is_known_by_class_and_words():
    assert [one for one in HOLES if not records_probe_hole(*one)] == []
    assert [one for one in NO_HOLES if records_probe_hole(*one)] == []
    assert records_probe_hole(OFFERED["klass"], OFFERED["term"])


def read(case, kind="liver", value="31.5", hours=20):
    return case_actions.record_reading(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, record_id=new_id(),
        entry={"kind": kind, "value_c": value, "read_at": ago(hours=hours)},
    )  # fmt: skip


def asked(case):
    return [one for one in queries.questions_of(case) if one.offers]


@pytest.mark.django_db
def test_the_hole_is_asked_for_until_a_finding_records_it(client):
    examination = make_examination()
    case, by = examination.case, examination.pathologist
    read(case, "rectal")
    assert not asked(case)
    one, first = read(case), read(case, value="32.5", hours=22)
    (question,) = asked(case)
    assert moment(first.read_at) in question.words
    assert question.offers == "probe-hole" and "A liver temperature was read" in question.words
    client.force_login(by)
    chart = client.get(reverse("findings:chart", args=[case.pk])).content.decode()
    assert question.words in chart and "Record the probe hole</a>" in chart
    scene = client.get(reverse("cases:scene", args=[case.pk])).content.decode()
    assert scene.count("Record the probe hole on the body chart") == 1
    make_finding(examination, klass="injury", term="Abrasion")
    assert asked(case)
    hole = make_finding(examination, klass="artifact", term="Probe hole")
    assert not asked(case)
    void_finding(hole, "of another case", version=hole.version)
    assert asked(case), "what is voided records nothing"
    for reading in SceneReading.objects.filter(case=case, kind="liver"):
        case_actions.void_reading(
            make_staff(Role.INVESTIGATOR), record_id=reading.pk, version=1, reason="never taken"
        )
    assert one.kind == "liver" and not asked(case)


@pytest.mark.django_db
def test_the_report_asks_of_standing_liver_readings_alone(client):
    examination = make_examination()
    case, by = examination.case, examination.pathologist
    client.force_login(by)

    def asks():
        page = client.get(reverse("review:report", args=[case.pk])).content.decode()
        return "A liver temperature was read" in page

    for kind in ("ambient", "surface", "water", "rectal", "other"):
        read(case, kind)
    assert not asks()
    one = read(case)
    assert asks()
    case_actions.void_reading(
        make_staff(Role.INVESTIGATOR), record_id=one.pk, version=1, reason="never taken"
    )
    assert not asks()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "is_asked"), [("external", True), ("chart review", False), ("imaging only", False)]
)
def test_the_hole_is_not_asked_for_where_the_skin_was_not_seen(kind, is_asked):
    examination = make_examination(kind=kind, kind_reason="As agreed.")
    read(examination.case)
    assert bool(asked(examination.case)) is is_asked


@pytest.mark.django_db
def test_the_offer_fills_the_form_and_saves_nothing(client):
    examination = make_examination()
    case = examination.case
    read(case)
    client.force_login(examination.pathologist)
    address = reverse("findings:finding-new", args=[case.pk])
    page = client.get(f"{address}?offer=probe-hole")
    initial = page.context["form"].initial
    assert {name: initial[name] for name in OFFERED} == dict(OFFERED)
    assert "only the usual place of a liver probe" in page.content.decode()
    assert not Finding.objects.exists()
    sent = {**OFFERED, "place": "Left upper quadrant of abdomen", "record_id": str(new_id())}
    assert client.post(address, sent).status_code == 302
    made = Finding.objects.get()
    assert (made.klass, made.term) == (FindingClass.ARTIFACT, "Probe hole")
    assert made.place == "Left upper quadrant of abdomen"
    assert not asked(case)
    plain = client.get(f"{address}?offer=anything")
    assert plain.context["form"].initial["klass"] == "injury"
