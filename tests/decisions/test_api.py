"""The API of decisions: read, decide, approve, and no other case's items."""

from __future__ import annotations

import json

import pytest

from cases.court.models import RequestCase
from cases.models import Case
from me_office.audit.ids import new_id
from tests.builders import as_person
from tests.decisions.builders import photographed, reaching, second_person

pytestmark = pytest.mark.django_db


def send(client, address: str, **body):
    return client.post(address, json.dumps(body, default=str), content_type="application/json")


def test_a_request_is_decided_and_approved_by_the_api(demand, signed_in, ground, vasko):
    base = f"/api/cases/{demand.case_id}/requests/{demand.request_id}"
    stands = signed_in.get(f"{base}/decisions/").json()
    assert [one["proposed"] for one in stands["items"]] == [
        "release", "withhold", "a person must look",
    ]  # fmt: skip
    rows = [
        {"kind": one["kind"], "item": one["item"], "digest": one["digest"], "read": ""}
        for one in stands["items"]
    ]
    decide = f"{base}/demands/{demand.pk}/decisions/"
    call = {"id": new_id(), "items": rows[:1], "outcome": "release"}
    made = send(signed_in, decide, **call)
    assert (made.status_code, made.json()["number"]) == (201, "P 1")
    assert send(signed_in, decide, **call).json() == made.json()
    wrong = send(signed_in, decide, id=new_id(), items=rows[1:], outcome="withhold")
    assert wrong.status_code == 422
    assert "ground" in str(wrong.json())
    late = send(signed_in, decide, id=new_id(), items=rows[:1], outcome="missing")
    assert late.status_code == 409
    done = send(
        signed_in, decide, id=new_id(), items=rows[1:], outcome="withhold", ground=ground.pk
    )
    assert done.status_code == 201
    item = {**rows[1], "read": ""}
    asked = send(signed_in, f"{base}/demands/{demand.pk}/questions/", id=new_id(),
                 asked_of=vasko.pk, words="Is it?", item=item)  # fmt: skip
    assert asked.status_code == 201, asked.json()
    answer = f"{base}/questions/{asked.json()['id']}/answer/"
    assert send(as_person(vasko), answer, version=1, answer="Yes").status_code == 200
    log = signed_in.get(f"{base}/withheld/").json()
    assert {one["item"] for one in log} == {"P 2", "P 3"}
    thorne = as_person(second_person())
    digest = thorne.get(f"{base}/decisions/").json()["digest"]
    body = {"id": new_id(), "digest": digest, "note": ""}
    assert send(signed_in, f"{base}/approval/", **body).status_code == 422
    assert send(thorne, f"{base}/approval/", **body).status_code == 201
    assert signed_in.get(f"{base}/decisions/").json()["why_not_ready"] == []


def test_items_of_a_case_that_is_closed_to_a_person_are_not_told(demand, signed_in, clerk, vasko):
    further = photographed(vasko, ["Tell-tale boat"], family_name="Marlow")
    RequestCase.objects.create(
        case=further, request=demand.request, created_by=clerk, changed_by=clerk
    )
    reaching(demand, clerk, "photograph", of_case=further.pk)
    base = f"/api/cases/{demand.case_id}/requests/{demand.request_id}"
    assert "Tell-tale" in signed_in.get(f"{base}/decisions/").content.decode()
    Case.objects.filter(pk=further.pk).update(restricted=True)
    told = signed_in.get(f"{base}/decisions/").content.decode()
    assert "Tell-tale" not in told
    assert str(further.pk) not in told
    assert "named team" in told


def test_grounds_and_rules_by_the_api(signed_in, vasko):
    new = {"id": new_id(), "number": 4, "words": "Health record", "citation": "County Code 27"}
    made = send(signed_in, "/api/grounds/", **new)
    assert made.status_code == 201
    assert send(as_person(vasko), "/api/grounds/", **new).status_code == 403
    change = {"id": new_id(), "version": 1, "reason": "Law", "words": "Health", "citation": "27(4)"}
    other = send(signed_in, f"/api/grounds/{made.json()['id']}/replace/", **change)
    assert (other.status_code, other.json()["number"]) == (201, 4)
    rule = {"id": new_id(), "version": 0, "is_on": False}
    put = signed_in.put(
        "/api/proposal-rules/face/", json.dumps(rule, default=str), "application/json"
    )
    assert put.status_code == 201
    assert [one["key"] for one in signed_in.get("/api/proposal-rules/").json()] == ["face"]
    assert len(signed_in.get("/api/grounds/").json()) == 1
