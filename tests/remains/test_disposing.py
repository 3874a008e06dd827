"""Cremation approval and final disposition: who, when, what is warned of."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.models import Case
from cases.remains import disposing, queries
from cases.remains.models import CremationDecision, CremationRequest, Disposition
from cases.remains.rules import DISPOSITIONS, cremation_caution, wrong_in_disposition
from cases.worklists import sections_for
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.cases.entries import ago
from tests.remains.builders import body_in, bring_back, hold, release, sign, technician
from tests.remains.test_pages import api, form_of, url


def test_the_methods_are_those_of_the_standard_certificate():
    # U.S. Standard Certificate of Death, revision of November 2003, item 18.
    assert [key for key, _ in DISPOSITIONS] == [
        "burial", "cremation", "donation", "entombment", "removal from state", "other",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("method", "outcomes", "said"),
    [
        ("burial", [], ""),
        ("burial", ["refused"], ""),
        ("removal from state", ["refused"], ""),
        ("cremation", [], "No approval"),
        ("cremation", ["open"], "not decided"),
        ("cremation", ["refused"], "was refused"),
        ("cremation", ["approved"], ""),
        ("cremation", ["refused", "approved"], ""),
        ("cremation", ["approved", "refused"], "was refused"),
        ("cremation", ["approved", "open"], "not decided"),
    ],
)
def test_a_cremation_without_approval_is_spoken_of(method, outcomes, said):
    found = cremation_caution(method, outcomes)
    assert (said in found) if said else not found


TODAY = date(2026, 11, 14)


@pytest.mark.parametrize(
    ("said", "released", "wrong"),
    [
        ({"method": "burial"}, None, set()),
        ({"method": "other"}, None, {"method_other"}),
        ({"method": "other", "method_other": "at sea"}, None, set()),
        ({"method": "burial", "method_other": "at sea"}, None, {"method_other"}),
        ({"method": "burial", "done_on": TODAY}, TODAY, set()),
        ({"method": "burial", "done_on": TODAY + timedelta(days=1)}, None, {"done_on"}),
        ({"method": "burial", "done_on": TODAY - timedelta(days=1)}, TODAY, {"done_on"}),
    ],
)
def test_a_disposition_is_of_a_day_after_the_release(said, released, wrong):
    assert set(wrong_in_disposition(said, today=TODAY, released_on=released)) == wrong


def asking(**said):
    return {
        "asked_by": "Lowe & Daughter, P. Lowe",
        "contact": "555-0161",
        "asked_at": ago(hours=8),
        "certifier": "Dr. E. Sorrel",
        "cause_words": "Cancer of the pancreas",
        "note": "",
    } | said


def ask(case: Case, by: Staff | None = None, **said) -> CremationRequest:
    return disposing.log_cremation_request(
        by or make_staff(Role.RECORDS_CLERK),
        case_id=case.pk,
        record_id=new_id(),
        entry=asking(**said),
    )


def decide(asked: CremationRequest, by: Staff | None = None, *, version: int = 1, **said):
    entry = {"outcome": "approved", "decided_at": ago(hours=2), "why": ""} | said
    return disposing.decide_cremation(
        by or make_staff(Role.PATHOLOGIST),
        case_id=asked.case_id,
        request_id=asked.pk,
        record_id=new_id(),
        version=version,
        entry=entry,
    )


def dispose(case: Case, by: Staff | None = None, **said) -> Disposition:
    entry = {"method": "burial", "known_from": "certificate as filed"} | said
    return disposing.record_disposition(
        by or make_staff(Role.RECORDS_CLERK), case_id=case.pk, record_id=new_id(), entry=entry
    )


@pytest.mark.django_db
def test_a_cremation_is_approved_for_a_death_that_was_declined():
    case, vasko = make_case(state="declined"), make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    asked = ask(case)
    made = decide(asked, vasko)
    assert (made.decided_by, made.outcome) == (vasko, "approved")
    standing = queries.cremations_of(case)
    assert [(one.outcome, one.version) for one in standing] == [("approved", 2)]
    assert standing[0].made_decisions == [made]
    assert dispose(case, method="cremation", place="Tarn crematory").words == "cremation"


@pytest.mark.django_db
def test_a_refusal_needs_its_ground_and_may_be_taken_back():
    asked = ask(make_case())
    for wrong, field in (
        ({"outcome": "refused"}, "why"),
        ({"decided_at": ago(hours=9)}, "decided_at"),
        ({"decided_at": timezone.now() + timedelta(hours=1)}, "decided_at"),
    ):
        with pytest.raises((Refused, Invalid)) as caught:
            decide(asked, **wrong)
        assert field in (caught.value.field, *getattr(caught.value, "errors", {}))
    decide(asked, outcome="refused", why="Toxicology is open.", decided_at=ago(hours=4))
    with pytest.raises(StaleRecord):
        decide(asked)
    with pytest.raises(Refused, match="refused already"):
        decide(asked, version=2, outcome="refused", why="again")
    with pytest.raises(Refused, match="Say why"):
        decide(asked, version=2)
    with pytest.raises(Invalid, match="later decision"):
        decide(asked, version=2, why="done", decided_at=ago(hours=5))
    decide(asked, version=2, why="Toxicology came back.")
    assert CremationRequest.objects.get().outcome == "approved"
    with pytest.raises(Refused, match="no longer be changed"):
        disposing.log_cremation_request(
            make_staff(Role.RECORDS_CLERK),
            case_id=asked.case_id,
            record_id=asked.pk,
            version=3,
            entry={"note": "late"},
        )
    with pytest.raises(Refused, match="stays with its decision"):
        disposing.void_cremation_request(
            make_staff(Role.SUPERVISOR), record_id=asked.pk, version=3, reason="mistake"
        )


@pytest.mark.django_db
def test_the_same_key_is_one_request_one_decision_one_disposition():
    case, boss = make_case(state="declined"), make_staff(Role.SUPERVISOR)
    key = {"case_id": case.pk, "record_id": new_id()}
    asked = disposing.log_cremation_request(boss, **key, entry=asking())
    said = {"outcome": "approved", "decided_at": ago(hours=1), "why": ""}
    call = {"case_id": case.pk, "request_id": asked.pk, "record_id": new_id(), "version": 1}
    made = disposing.decide_cremation(boss, **call, entry=said)
    assert disposing.decide_cremation(boss, **call, entry=said) == made
    assert disposing.log_cremation_request(boss, **key, entry=asking()) == asked
    with pytest.raises(Conflict):
        disposing.decide_cremation(boss, **call, entry=said | {"outcome": "refused", "why": "x"})
    key = {"case_id": case.pk, "record_id": new_id()}
    entry = {"method": "burial", "known_from": "the son"}
    done = disposing.record_disposition(boss, **key, entry=entry)
    assert disposing.record_disposition(boss, **key, entry=entry) == done
    assert (CremationDecision.objects.count(), Disposition.objects.count()) == (1, 1)


@pytest.mark.django_db
def test_who_asks_who_decides_and_all_of_it_after_the_signature():
    case = body_in(hours=90)
    release(case, released_at=ago(hours=50))
    sign(case)
    asked = ask(case)
    for role in (Role.INVESTIGATOR, Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN):
        with pytest.raises(NotAllowed):
            decide(asked, make_staff(role))
    with pytest.raises(NotAllowed):
        ask(case, make_staff(Role.PATHOLOGIST))
    decide(asked, make_staff(Role.SUPERVISOR))
    with pytest.raises(NotAllowed):
        dispose(case, make_staff(Role.PATHOLOGIST))
    assert dispose(case, by_county=True).words == "burial, by the county"


@pytest.mark.django_db
def test_no_disposition_of_a_body_that_is_here():
    case = body_in(hours=90)
    with pytest.raises(Refused, match="in the office"):
        dispose(case)
    release(case, released_at=ago(hours=50))
    with pytest.raises(Invalid) as early:
        dispose(case, done_on=timezone.localdate() - timedelta(days=4))
    assert "done_on" in early.value.errors
    first = dispose(case, done_on=timezone.localdate())
    bring_back(case, returned_at=ago(hours=20))
    clerk, call = make_staff(Role.RECORDS_CLERK), {"case_id": case.pk, "record_id": first.pk}
    with pytest.raises(Refused, match="Say why"):
        disposing.record_disposition(clerk, **call, version=1, entry={"place": "Plot 14"})
    changed = disposing.record_disposition(
        clerk, **call, version=1, entry={"place": "Plot 14"}, reason="as filed"
    )
    assert changed.place == "Plot 14"
    voided = disposing.void_disposition(
        clerk, record_id=first.pk, version=2, reason="of another case"
    )
    assert voided.is_voided and queries.dispositions_of(case) == []


@pytest.mark.django_db(transaction=True)
def test_one_of_two_decisions_at_once_stands(at_once):
    asked = ask(make_case())
    say = [("approved", ""), ("refused", "Toxicology is open.")]
    outcomes = at_once(
        disposing.decide_cremation,
        by=[make_staff(Role.PATHOLOGIST), make_staff(Role.SUPERVISOR)],
        each=[
            {
                "record_id": new_id(),
                "entry": {"outcome": outcome, "decided_at": ago(hours=1), "why": why},
            }
            for outcome, why in say
        ],
        case_id=asked.case_id,
        request_id=asked.pk,
        version=1,
        meet_after="cases.remains.queries.record_for_update",
    )
    assert sorted(one.code for one in outcomes) == ["done", "stale"]
    assert CremationDecision.objects.count() == 1


@pytest.mark.django_db
def test_a_declined_case_goes_through_its_pages(client):
    case, boss = make_case(state="declined"), make_staff(Role.SUPERVISOR)
    client.force_login(boss)
    page = client.get(url("remains", case)).content.decode()
    assert "No requests yet." in page and "Receipt of the body" not in page
    assert client.post(url("add-cremation", case), form_of(asking())).status_code == 302
    asked = CremationRequest.objects.get()
    found = {one.key: one.rows(boss, timezone.now()) for one in sections_for(boss)}
    assert [row.detail for row in found["cremations"]] == ["asked by Lowe & Daughter, P. Lowe"]
    to_decide = url("decide-cremation", case, record_id=asked.pk)
    first = client.get(to_decide).content.decode()
    assert "can&#x27;t be examined again" in first and "required for a refusal" in first
    refused = {"outcome": "refused", "decided_at": ago(hours=1), "why": ""}
    answer = client.post(to_decide, form_of(refused, version=1))
    assert answer.status_code == 422 and "Say why" in answer.content.decode()
    sent = client.post(to_decide, form_of(refused | {"why": "Fall unexplained."}, version=1))
    assert sent.status_code == 302
    assert "required for a refusal" not in client.get(to_decide).content.decode()
    done = {"method": "cremation", "known_from": "the crematory"}
    assert "Cremation was refused" in client.get(url("add-disposition", case)).content.decode()
    assert client.post(url("add-disposition", case), form_of(done)).status_code == 302
    page = client.get(url("remains", case)).content.decode()
    assert "Cremation was refused by this office." in page and "Fall unexplained." in page
    wrong = client.post(url("add-disposition", case), form_of(done | {"method": "other"}))
    assert "Say what was done." in wrong.content.decode()


@pytest.mark.django_db
def test_the_decision_page_names_an_open_hold(client):
    case = body_in()
    hold(case)
    asked = ask(case)
    client.force_login(make_staff(Role.PATHOLOGIST))
    page = client.get(url("decide-cremation", case, record_id=asked.pk)).content.decode()
    assert "On hold." in page


@pytest.mark.django_db
def test_the_api_asks_decides_and_disposes(client):
    case, kind = make_case(state="declined"), {"content_type": "application/json"}
    client.force_login(make_staff(Role.SUPERVISOR))
    sent = {"id": str(new_id()), "version": 0, **asking()}
    asked = client.post(api("cremation-requests", case), sent, **kind)
    assert (asked.status_code, asked.json()["outcome"]) == (201, "open")
    to_decide = api("decide-cremation", case, record_id=sent["id"])
    said = {"id": str(new_id()), "version": 1, "outcome": "approved", "decided_at": ago(hours=1)}
    assert client.post(to_decide, said, **kind).status_code == 201
    assert client.post(to_decide, said, **kind).status_code == 201
    row = client.get(api("cremation-requests", case)).json()[0]
    assert (row["outcome"], len(row["decisions"])) == ("approved", 1)
    done = {"id": str(new_id()), "version": 0, "method": "burial", "known_from": "the son"}
    assert client.post(api("dispositions", case), done, **kind).status_code == 201
    bad = {**done, "id": str(new_id()), "method": "mummified"}
    assert "method" in client.post(api("dispositions", case), bad, **kind).json()["errors"]
    assert len(client.get(api("dispositions", case)).json()) == 1


@pytest.mark.django_db
def test_a_technician_records_a_disposition_but_asks_for_no_cremation(client):
    case = make_case(state="declined")
    client.force_login(technician())
    assert client.get(url("add-disposition", case)).status_code == 200
    assert client.get(url("add-cremation", case)).status_code == 403
    assert client.get(reverse("cases:body", kwargs={"case_id": case.pk})).status_code == 200
