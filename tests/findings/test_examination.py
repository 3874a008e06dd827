"""Opening and recording the examination, and its negative statements."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.models import Decedent
from findings import actions
from findings.models import Examination, Finding
from findings.questions import negatives
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.findings.builders import a_mark, make_examination, make_finding, opening, write_in

pytestmark = pytest.mark.django_db


def test_opening_leaves_who_what_and_when():
    vasko, case = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"), make_case()
    examination = make_examination(case=case, by=vasko)
    event = AuditEvent.objects.get(record_id=str(examination.pk))
    assert (event.actor_name, event.act) == ("Dr. I. Vasko", "open_examination")
    assert event.case_id == case.pk
    assert examination.pathologist == vasko


def test_opening_twice_with_the_same_key_opens_one():
    vasko, case, key, entry = make_staff(Role.PATHOLOGIST), make_case(), new_id(), opening()
    for _ in range(2):
        actions.open_examination(vasko, case_id=case.pk, record_id=key, entry=entry)
    assert Examination.objects.filter(case=case).count() == 1


def test_the_same_key_with_other_content_is_a_conflict():
    vasko, case, key = make_staff(Role.PATHOLOGIST), make_case(), new_id()
    actions.open_examination(vasko, case_id=case.pk, record_id=key, entry=opening())
    with pytest.raises(Conflict):
        actions.open_examination(
            vasko, case_id=case.pk, record_id=key, entry=opening(place="Room 2")
        )


def test_a_case_has_one_examination():
    examination = make_examination()
    with pytest.raises(Refused, match="already open"):
        make_examination(case=examination.case)


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_only_a_pathologist_opens(role):
    with pytest.raises(NotAllowed):
        make_examination(by=make_staff(role))


def test_a_restricted_case_is_not_known_outside_its_team():
    with pytest.raises(NotKnown):
        make_examination(case=make_case(restricted=True))


@pytest.mark.parametrize("state", ["reported", "declined", "in review", "signed"])
def test_only_an_open_case_is_examined(state):
    with pytest.raises(NotAllowed):
        make_examination(case=make_case(state=state))


def test_less_than_a_full_autopsy_says_why():
    with pytest.raises(Refused) as refusal:
        make_examination(kind="external")
    assert refusal.value.field == "kind_reason"
    assert make_examination(kind="external", kind_reason="Known disease").kind == "external"


def test_an_examination_cannot_begin_in_the_future():
    with pytest.raises(Refused) as refusal:
        make_examination(began_at=timezone.now() + timedelta(hours=1))
    assert refusal.value.field == "began_at"


def test_the_end_is_not_before_the_beginning():
    examination = make_examination()
    with pytest.raises(Refused) as refusal:
        write_in(examination, 1, ended_at=examination.began_at - timedelta(minutes=1))
    assert refusal.value.field == "ended_at"


def test_recording_keeps_old_and_new_and_why():
    examination = make_examination()
    saved = actions.record_examination(
        examination.pathologist,
        case_id=examination.case_id,
        version=1,
        entry={"external": "Slim build."},
        reason="dictated",
    )
    event = AuditEvent.objects.filter(record_id=str(saved.pk)).last()
    assert saved.version == 2
    assert event.changes["external"] == ["", "Slim build."]
    assert (event.act, event.reason) == ("record_examination", "dictated")


def test_a_stale_text_is_refused_and_what_stands_comes_along():
    examination = make_examination()
    actor, case_id = examination.pathologist, examination.case_id
    actions.record_examination(actor, case_id=case_id, version=1, entry={"external": "First."})
    with pytest.raises(StaleRecord) as refusal:
        actions.record_examination(actor, case_id=case_id, version=1, entry={"external": "Other."})
    assert refusal.value.record.external == "First."


def test_an_impossible_length_is_refused_beside_its_field():
    with pytest.raises(Invalid) as refusal:
        make_examination(crown_heel_cm=Decimal("300"))
    assert "crown_heel_cm" in str(refusal.value.errors) or refusal.value.message == (
        "Between 10 and 260 cm."
    )


def test_a_measured_length_moves_derived_heights_with_it():
    examination = make_examination(crown_heel_cm=None)
    finding = make_finding(examination, marks=[a_mark()])
    assert finding.above_heel_cm is None
    write_in(examination, 1, crown_heel_cm=Decimal("171.0"))
    finding = Finding.objects.get(pk=finding.pk)
    # v = 290 is 710 thousandths above the heel: 0.71 x 171 cm.
    assert finding.above_heel_cm == Decimal("121.4")
    assert finding.version == 2


def test_the_drawing_stays_once_marks_are_placed_on_it():
    examination = make_examination()
    make_finding(examination, marks=[a_mark()])
    with pytest.raises(Refused) as refusal:
        write_in(examination, 1, chart_body="child")
    assert refusal.value.field == "chart_body"


def test_a_negative_statement_is_confirmed_one_at_a_time():
    examination = make_examination(external="Slim build.")
    saved = actions.confirm_negative(
        examination.pathologist,
        case_id=examination.case_id,
        version=1,
        statement="external-eyes",
    )
    assert saved.external == "Slim build. The conjunctivae show no petechiae."
    assert saved.internal == ""
    event = AuditEvent.objects.filter(record_id=str(saved.pk)).last()
    assert event.act == "confirm_negative"
    with pytest.raises(Refused, match="stated already"):
        actions.confirm_negative(
            examination.pathologist,
            case_id=examination.case_id,
            version=2,
            statement="external-eyes",
        )


@pytest.mark.parametrize(
    ("kind", "opened"),
    [
        ("external", False), ("view and release", False), ("chart review", False),
        ("limited", True), ("full autopsy", True), ("skeletal remains", True),
        ("imaging only", True), ("second autopsy", True),
    ],
)  # fmt: skip
def test_what_only_an_opened_body_shows_is_stated_of_an_opened_body(client, kind, opened):
    examination = make_examination()
    Examination.objects.filter(pk=examination.pk).update(kind=kind)
    assert {one for one, _ in Examination.KINDS} >= {kind}
    client.force_login(examination.pathologist)
    page = reverse("findings:examination", args=[examination.case_id])
    shown = client.get(page).content.decode()
    soft = ("cavities-pleura", "deep-dissection-back") if kind != "skeletal remains" else ()
    for statement in (*soft, "internal-hyoid"):
        assert (f'id="negative-{statement}"' in shown) is opened, statement
    said = {"case_id": examination.case_id, "statement": "internal-hyoid", "version": 1}
    if opened:
        assert actions.confirm_negative(examination.pathologist, **said).internal
    else:
        with pytest.raises(Refused, match="not opened"):
            actions.confirm_negative(examination.pathologist, **said)


@pytest.mark.parametrize(
    ("kind", "seen"),
    [
        ("external", True), ("view and release", True), ("chart review", False),
        ("limited", True), ("full autopsy", True), ("skeletal remains", True),
        ("imaging only", False), ("second autopsy", True),
    ],
)  # fmt: skip
def test_what_only_a_look_at_the_body_shows_is_stated_of_a_body_that_was_seen(client, kind, seen):
    # Common practice: nobody states of a body that was not looked at that it shows no injury.
    for section in ("external", "treatment"):
        assert ("not seen" in negatives.why_not_seen(section, kind)) is not seen
    if not seen:
        examination = make_examination()
        Examination.objects.filter(pk=examination.pk).update(kind=kind)
        said = {"case_id": examination.case_id, "statement": "external-scalp", "version": 1}
        with pytest.raises(Refused, match="not seen from outside"):
            actions.confirm_negative(examination.pathologist, **said)
        client.force_login(examination.pathologist)
        page = client.get(reverse("findings:examination", args=[examination.case_id]))
        # Of a body that nobody looked at, and that was not opened, nothing is offered at all.
        assert (b"Negative findings: confirm each" in page.content) is (kind != "chart review")


BONES = {
    "external-nasal-bones", "external-teeth", "treatment-none", "internal-skull",
    "internal-skull-base", "internal-facial-bones", "internal-cervical-spine", "internal-hyoid",
    "internal-ribs", "internal-sternum", "internal-spine", "internal-pelvis",
}  # fmt: skip


def test_of_skeletal_remains_only_bones_and_teeth_are_stated(client):
    # Common practice: what is gone is not said to be unhurt.
    examination = make_examination()
    Examination.objects.update(kind="skeletal remains")
    client.force_login(examination.pathologist)
    page = client.get(reverse("findings:examination", args=[examination.case_id]))
    offered = set(re.findall(r'id="negative-([a-z-]+)"', page.content.decode()))
    assert offered == BONES
    for statement in ("external-scalp", "internal-liver", "cavities-pleura"):
        with pytest.raises(Refused, match="do not show this"):
            actions.confirm_negative(
                examination.pathologist,
                case_id=examination.case_id,
                version=1,
                statement=statement,
            )


MALE = {"external-penis", "external-scrotum", "internal-prostate"}
FEMALE = {"external-vulva", "internal-uterus"}


@pytest.mark.parametrize(
    ("sex", "body", "left_out"),
    [
        ("female", "adult_female", MALE), ("female", "infant", MALE), ("female", "child", MALE),
        ("male", "adult_male", FEMALE), ("male", "infant", FEMALE), ("male", "child", FEMALE),
        ("female", "adult_male", set()), ("male", "adult_female", set()),
        ("", "adult_male", set()), ("undetermined", "adult_female", set()),
        ("intersex", "adult_female", set()),
    ],
)  # fmt: skip
def test_a_statement_of_the_other_sex_is_not_offered(sex, body, left_out):
    found = {
        key
        for key, one in negatives.STATEMENTS.items()
        if not negatives.is_offered(one, "full autopsy", sex, body)
    }
    assert found == left_out


def test_page_and_api_offer_no_statement_of_the_other_sex_and_none_is_confirmed(client):
    examination = make_examination(chart_body="adult_female")
    Decedent.objects.filter(case=examination.case_id).update(sex="female")
    client.force_login(examination.pathologist)
    page = client.get(reverse("findings:examination", args=[examination.case_id])).content.decode()
    listed = client.get(reverse("findings_api:negatives", args=[examination.case_id])).json()
    for key in MALE | FEMALE:
        assert (f'id="negative-{key}"' in page) is (key in FEMALE), key
        assert (key in {one["key"] for one in listed}) is (key in FEMALE), key
    said = {"case_id": examination.case_id, "version": 1}
    with pytest.raises(Refused, match="said of a male body") as refused:
        actions.confirm_negative(examination.pathologist, statement="external-penis", **said)
    assert refused.value.field == "statement"
    assert actions.confirm_negative(
        examination.pathologist, statement="external-vulva", **said
    ).external


def test_an_unknown_statement_is_refused():
    examination = make_examination()
    with pytest.raises(Refused):
        actions.confirm_negative(
            examination.pathologist,
            case_id=examination.case_id,
            version=1,
            statement="external-everything",
        )


def test_what_only_an_opened_body_shows_is_asked_only_where_it_was_opened(client):
    examination = make_examination(kind="full autopsy")
    client.force_login(examination.pathologist)
    url = reverse("findings:examination", args=[examination.case_id])
    asked = {}
    for kind, _ in Examination.KINDS:
        Examination.objects.update(kind=kind)
        fields = set(client.get(url).context["form"].fields)
        asked[kind] = {"cavities", "lad_percent", "blood_abdomen_ml"} & fields
        assert {"clothing", "external", "treatment", "crown_heel_cm"} <= fields
        assert len(asked[kind]) in (0, 3)
    closed = {kind for kind, names in asked.items() if not names}
    assert closed == {"external", "view and release", "chart review"}


@pytest.mark.parametrize("written", [{"blood_abdomen_ml": 0}, {"internal": "A stent."}])
def test_what_was_written_of_the_inside_stays_on_the_form(client, written):
    examination = make_examination(kind="external", kind_reason="No injury.")
    client.force_login(examination.pathologist)
    url = reverse("findings:examination", args=[examination.case_id])
    page = client.get(url).content.decode()
    assert "Blood in body cavities" not in page
    assert "Internal examination" not in page
    Examination.objects.update(**written)
    page = client.get(url).content.decode()
    assert "Blood in body cavities" in page
    assert "Internal examination" in page


def test_what_another_page_sent_of_the_inside_is_taken(client):
    examination = make_examination(kind="external", kind_reason="No injury.")
    client.force_login(examination.pathologist)
    url = reverse("findings:examination", args=[examination.case_id])
    shown = client.get(url).context["form"]
    sent = {name: shown[name].value() or "" for name in shown.fields} | {"internal": "A stent."}
    began = {"began_at_0": "2026-11-14", "began_at_1": "09:00", "began_at": "2026-11-14T09:00"}
    answer = client.post(url, {**sent, **began, "kind": "limited", "version": examination.version})
    assert answer.status_code == 302, answer.context["form"].errors
    examination.refresh_from_db()
    assert (examination.kind, examination.internal) == ("limited", "A stent.")


def test_another_kind_than_the_normal_ones_asks_why_in_their_words(settings):
    settings.NORMAL_EXAMINATIONS = frozenset({"external", "full autopsy"})
    make_examination(kind="external")
    with pytest.raises(Refused, match="is external examination or full autopsy") as refused:
        make_examination(kind="limited")
    assert refused.value.field == "kind_reason"
