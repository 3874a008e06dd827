"""Checks of a case: who answers, what keeps a report, what comes back, what the office changes."""

from __future__ import annotations

from copy import deepcopy
from unittest import mock

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.checking import actions, queries
from cases.checking.models import CheckAnswer, CheckSetAside, OfficeCheck
from cases.checking.rules import Level, Standing, shipped
from cases.review.actions import submit_report
from cases.review.reported import from_outside
from cases.rules.case import CaseState
from findings.models import Finding
from findings.systems.models import SystemPart
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.review.test_review import examined, injured, make_ready

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _once(made_once):
    def build():
        case, vasko, thorne = make_ready()
        # The mark says one side, the place another: two places that do not agree.
        finding = case.finding_set.get()
        Finding.objects.filter(pk=finding.pk).update(
            place="left lateral chest wall", from_midline_cm=-9, midline="anterior"
        )
        return case, vasko, thorne

    return made_once(build)


@pytest.fixture
def people(db, _once):
    return deepcopy(_once)


def answered(by, case, key="weight", answer="does not apply", **more):
    values = {"record_id": new_id(), "why": "Only a part of the body", **more}
    return actions.answer_check(by, case_id=case.pk, key=key, answer=answer, **values)


def aside(by, case, key, **more):
    values = {"record_id": new_id(), "reason": "Both were looked at", **more}
    return actions.set_check_aside(by, case_id=case.pk, key=key, **values)


def office(by, key="weight", **more):
    entry = {"words": "The weight of the body", "level": "must", "is_off": False}
    entry |= more.pop("entry", {})
    values = {"record_id": new_id(), "version": 0, "reason": "Our rule", **more}
    return actions.change_office_check(by, key=key, entry=entry, **values)


def standing(case, key="weight"):
    return queries.outcome_with_key(case, key).standing


def send(by, case):
    known = [gap.key for gap in from_outside(case.pk).not_available]
    return submit_report(by, case_id=case.pk, record_id=new_id(), version=1, acknowledged=known)


def test_a_check_is_answered_with_the_reason_and_asked_again(people):
    case, vasko, _ = people
    assert standing(case) is Standing.MISSING
    said = answered(vasko, case)
    assert said.words == "The weight of the body: not recorded."
    assert standing(case) is Standing.NOT_APPLICABLE
    event = AuditEvent.objects.get(table="checking_checkanswer")
    assert (event.act, event.actor_name) == ("answer_check", "I. Vasko")
    keys = {"case_id": case.pk, "record_id": said.pk}
    with pytest.raises(StaleRecord):
        actions.withdraw_answer(vasko, **keys, version=3, reason="weighed")
    actions.withdraw_answer(vasko, **keys, version=1, reason="weighed")
    assert standing(case) is Standing.MISSING
    with pytest.raises(NotKnown):
        actions.withdraw_answer(vasko, case_id=case.pk, record_id=new_id(), version=1, reason="x")


def test_the_same_answer_twice_is_one_and_other_words_are_a_conflict(people):
    case, vasko, _ = people
    key = new_id()
    assert answered(vasko, case, record_id=key) == answered(vasko, case, record_id=key)
    with pytest.raises(Conflict):
        answered(vasko, case, record_id=key, why="Another")
    with pytest.raises(Refused, match="not missing"):
        answered(vasko, case)
    assert CheckAnswer.objects.count() == 1


def test_an_answer_is_refused_by_role_by_rule_and_when_the_case_is_signed(people):
    case, vasko, _ = people
    with pytest.raises(NotAllowed):
        answered(make_staff(Role.RECORDS_CLERK), case)
    with pytest.raises(Refused, match="Say why"):
        answered(vasko, case, why=" ")
    with pytest.raises(Refused, match="does not keep the report"):
        answered(vasko, case, answer="left out")
    with pytest.raises(Refused, match="office’s own"):
        answered(vasko, case, answer="confirmed")
    with pytest.raises(Refused, match="not missing"):
        answered(vasko, case, key="performer")
    with pytest.raises(NotKnown):
        answered(vasko, case, key="nothing")
    with pytest.raises(NotAllowed, match="signed and locked"):
        answered(vasko, make_case(state=CaseState.SIGNED))


def test_what_the_office_needs_keeps_a_report_until_its_author_says_why(people):
    case, vasko, thorne = people
    office(thorne)
    with pytest.raises(Refused, match="The weight of the body: not recorded"):
        send(vasko, case)
    boss = make_staff(Role.SUPERVISOR)
    for answer in ("left out", "does not apply"):
        with pytest.raises(NotAllowed):
            answered(boss, case, answer=answer)
    said = answered(vasko, case, answer="left out", why="The scale was being repaired")
    with pytest.raises(NotAllowed):
        actions.withdraw_answer(boss, case_id=case.pk, record_id=said.pk, version=1, reason="no")
    draft = send(vasko, case)
    assert "repaired" not in str(draft.content)
    with pytest.raises(NotAllowed):
        answered(vasko, case, key="length")


def test_the_reviewer_reads_what_was_left_out_and_set_aside(client, people):
    case, vasko, thorne = people
    office(thorne)
    client.force_login(vasko)
    part = {"HTTP_HX_REQUEST": "true"}
    needed = reverse("checking:needed", args=[case.pk])
    assert needed in client.get(reverse("review:report", args=[case.pk])).content.decode()
    assert client.get(needed).status_code == 302
    page = client.get(needed, **part).content.decode()
    assert "The weight of the body: not recorded." in page
    assert "checks missing, 1 to compare" in page and "they do not keep" in page
    assert reverse("checking:answer", args=[case.pk, "weight"]) in page
    answered(vasko, case, answer="left out", why="The scale was being repaired")
    (alarm,) = queries.alarms_of(case)
    aside(vasko, case, alarm.key)
    # Where it is asked again before signing, the reason stands beside it.
    report = client.get(reverse("review:report", args=[case.pk])).content.decode()
    assert "Set aside by I. Vasko, MD, " in report and ": Both were looked at" in report
    send(vasko, case)
    client.force_login(thorne)
    read = reverse("checking:answered", args=[case.pk])
    assert read in client.get(reverse("review:review", args=[case.pk])).content.decode()
    assert client.get(read).status_code == 302
    page = client.get(read, **part).content.decode()
    assert "The scale was being repaired" in page
    assert "Both were looked at" in page
    with mock.patch.object(queries, "alarms_in", return_value=[]):
        assert "Both were looked at" not in client.get(read, **part).content.decode()


def test_two_places_are_set_aside_until_one_of_them_changes(people):
    case, vasko, _ = people
    (alarm,) = queries.alarms_of(case)
    assert (alarm.rule, alarm.places[0].label) == ("side", "Finding 1")
    kept = aside(vasko, case, alarm.key)
    assert (kept.words, kept.rule) == (alarm.words, "side")
    assert queries.alarms_of(case) == []
    assert AuditEvent.objects.get(table="checking_checksetaside").reason == "Both were looked at"
    with pytest.raises(Invalid, match="already"):
        aside(vasko, case, alarm.key)
    Finding.objects.filter(case=case).update(from_midline_cm=-8)
    (again,) = queries.alarms_of(case)
    assert again.key != alarm.key
    assert queries.checks_of(case).set_aside == []
    with pytest.raises(Refused, match="no longer"):
        aside(vasko, case, alarm.key)
    keys = {"case_id": case.pk, "record_id": kept.pk}
    with pytest.raises(StaleRecord):
        actions.point_out_check_again(vasko, **keys, version=2, reason="x")
    assert actions.point_out_check_again(vasko, **keys, version=1, reason="x").is_voided
    with pytest.raises(NotAllowed):
        aside(make_staff(Role.EVIDENCE_TECHNICIAN), case, again.key)


def test_the_office_changes_a_check_adds_its_own_and_returns_to_the_first(people):
    case, vasko, thorne = people
    row = office(thorne, entry={"words": "Body weight", "level": "should"})
    assert queries.outcome_with_key(case, "weight").rule.words == "Body weight"
    with pytest.raises(StaleRecord):
        office(thorne, version=4)
    office(thorne, version=1, record_id=row.pk, entry={"is_off": True})
    with pytest.raises(NotKnown):
        standing(case)
    with pytest.raises(NotAllowed):
        office(vasko)
    with pytest.raises(NotKnown):
        office(thorne, key="nothing")
    with pytest.raises(Refused):
        office(thorne, key="length", reason=" ")
    actions.withdraw_office_check(thorne, key="weight", version=2, reason="as before")
    assert standing(case) is Standing.MISSING
    with pytest.raises(NotKnown):
        actions.withdraw_office_check(thorne, key="weight", version=2, reason="again")
    own = actions.add_office_check(
        thorne,
        record_id=new_id(),
        entry={"words": "Films compared", "level": "must", "applies": "opened"},
    )
    assert standing(case, own.key) is Standing.MISSING
    answered(vasko, case, key=own.key, answer="confirmed", why="With the log")
    assert standing(case, own.key) is Standing.DOCUMENTED
    office(
        thorne, key=own.key, version=1, entry={"words": "All films compared", "applies": "firearm"}
    )
    assert standing(case, own.key) is Standing.NOT_APPLICABLE
    assert [one.key for one in queries.office_checks()] == [*shipped(), own.key]
    assert len(queries.earlier_changes("weight")) >= 2


def test_the_pages_of_a_case(client, people):
    case, vasko, _ = people
    client.force_login(vasko)
    listed = reverse("checking:checks", args=[case.pk])
    page = client.get(listed).content.decode()
    assert "The weight of the body" in page
    assert "its position right of the midline" in page
    one = reverse("checking:answer", args=[case.pk, "weight"])
    form = {"record_id": str(new_id()), "version": 0, "answer": "does not apply", "why": ""}
    assert client.get(one).status_code == 200
    assert client.post(one, form).status_code == 422
    assert client.post(one, {**form, "why": "Part of a body"})["Location"] == listed
    back = reverse("checking:withdraw-answer", args=[case.pk, form["record_id"]])
    assert client.get(back).status_code == 200
    assert client.post(back, {"version": 1, "reason": "weighed"}).status_code == 302
    (alarm,) = queries.alarms_of(case)
    put = f"{reverse('checking:set-aside', args=[case.pk])}?key={alarm.key}"
    assert alarm.words in client.get(put).content.decode()
    form = {"record_id": str(new_id()), "version": 0, "reason": ""}
    assert client.post(put, form).status_code == 422
    assert client.post(put, {**form, "reason": "Looked at"}).status_code == 302
    assert "Looked at" in client.get(listed).content.decode()
    again = reverse("checking:again", args=[case.pk, form["record_id"]])
    assert client.get(again).status_code == 200
    assert client.post(again, {"version": 1, "reason": "asked"}).status_code == 302
    margin = reverse("checking:margin", args=[case.pk])
    assert client.get(margin).status_code == 302
    part = client.get(margin, HTTP_HX_REQUEST="true").content.decode()
    assert "missing" in part
    gone = reverse("checking:set-aside", args=[case.pk])
    assert client.get(f"{gone}?key=side:nothing").status_code in (409, 422)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    page = client.get(listed).content.decode()
    assert "Set aside<" not in page
    assert client.get(one).status_code == 403


def test_the_pages_of_the_office(client, people):
    _, vasko, thorne = people
    client.force_login(vasko)
    listed = reverse("checking:office")
    assert "Add a check" not in client.get(listed).content.decode()
    assert client.get(reverse("checking:add")).status_code == 403
    client.force_login(thorne)
    assert "Add a check" in client.get(listed).content.decode()
    change = reverse("checking:change", args=["weight"])
    form = {"record_id": str(new_id()), "version": 0, "words": "Weight", "level": "must"}
    assert client.get(change).status_code == 200
    assert client.post(change, form).status_code == 422
    assert client.post(change, {**form, "reason": "Ours"}).status_code == 302
    assert OfficeCheck.objects.get().level == Level.MUST
    page = client.get(change).content.decode()
    assert "Ours" in page
    withdraw = reverse("checking:withdraw", args=["weight"])
    assert client.get(withdraw).status_code == 200
    assert client.post(withdraw, {"version": 1, "reason": "back"}).status_code == 302
    assert client.get(withdraw).status_code == 404
    add = reverse("checking:add")
    own = {"record_id": str(new_id()), "version": 0, "words": "", "level": "must"}
    own["applies"] = "opened"
    assert client.get(add).status_code == 200
    assert client.post(add, own).status_code == 422
    assert client.post(add, {**own, "words": "Films compared"}).status_code == 302
    page = client.get(listed).content.decode()
    assert "Films compared" in page


def test_the_same_by_the_api(client, people):
    case, vasko, thorne = people
    client.force_login(vasko)
    root = f"/api/cases/{case.pk}/checks/"
    rows = {row["key"]: row for row in client.get(root).json()}
    assert (rows["weight"]["standing"], rows["weight"]["level"]) == ("missing", "should")
    assert rows["length"]["named"] == "D9 (2016 edition), Preliminary procedures"
    body = {"id": str(new_id()), "key": "weight", "answer": "does not apply", "why": "A part"}
    made = client.post(f"{root}answers/", body, "application/json")
    assert made.status_code == 201
    assert client.get(f"{root}answers/").json() == [made.json()]
    gone = {"version": 1, "reason": "weighed"}
    back = client.post(f"{root}answers/{body['id']}/void/", gone, "application/json")
    assert back.json()["void_reason"] == "weighed"
    (conflict,) = client.get(f"{root}conflicts/").json()
    assert conflict["rule"] == "side"
    put = {"id": str(new_id()), "key": conflict["key"], "reason": "Looked at"}
    made = client.post(f"{root}set-aside/", put, "application/json")
    assert client.get(f"{root}set-aside/").json() == [made.json()]
    assert client.get(f"{root}conflicts/").json() == []
    again = client.post(f"{root}set-aside/{put['id']}/void/", gone, "application/json")
    assert again.status_code == 200
    change = {"id": str(new_id()), "version": 0, "words": "W", "level": "must", "reason": "Ours"}
    address = "/api/checks/weight/"
    assert client.post(address, change, "application/json").status_code == 403
    client.force_login(thorne)
    assert client.post(address, change, "application/json").json()["is_off"] is False
    own = {"id": str(new_id()), "words": "Films", "level": "should", "applies": "opened"}
    assert client.post("/api/checks/", own, "application/json").status_code == 201
    assert len(client.get("/api/checks/").json()) == len(shipped()) + 1
    gone = client.post(f"{address}void/", {"version": 1, "reason": "b"}, "application/json")
    assert gone.status_code == 200


def test_what_the_body_systems_say_is_read(people):
    case, vasko, _ = people
    assert standing(case, "neck") is Standing.MISSING
    SystemPart.objects.create(
        case=case, examination=case.examination, part="neck", decision="described",
        words="The hyoid bone is intact.", said="Neck: the hyoid bone is intact.",
        created_by=vasko, changed_by=vasko,
    )  # fmt: skip
    assert standing(case, "neck") is Standing.DOCUMENTED


def test_a_case_is_checked_in_as_many_statements_with_60_findings_as_with_3(client, people):
    _, vasko, _ = people
    case = make_case()
    examination = examined(case, vasko)
    client.force_login(vasko)
    counts = []
    for numbers in (range(1, 4), range(4, 61)):
        for number in numbers:
            injured(case, examination, vasko, number)
        with CaptureQueriesContext(connection) as asked:
            queries.checks_of(case)
        with CaptureQueriesContext(connection) as page:
            client.get(reverse("checking:checks", args=[case.pk]))
        counts.append((len(asked), len(page)))
    assert counts[0] == counts[1]
    assert counts[0][0] <= 24
    assert CheckSetAside.objects.count() == 0
