"""The API of requests calls the same actions as the pages."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.court.models import RecordsRequest
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.packets.builders import asked_for, make_request

pytestmark = pytest.mark.django_db


def url(name, case, **keys):
    return reverse(f"court_api:{name}", kwargs={"case_id": case.pk, **keys})


def body(**fields):
    return {"id": str(new_id()), **asked_for(**fields)}


def test_a_request_is_logged_read_changed_and_withdrawn(signed_in):
    case, sent = make_case(), body()
    made = signed_in.post(url("requests", case), sent, content_type="application/json")
    assert made.status_code == 201
    assert (made.json()["id"], made.json()["version"]) == (sent["id"], 1)
    again = signed_in.post(url("requests", case), sent, content_type="application/json")
    assert again.json() == made.json()
    one = url("request", case, request_id=sent["id"])
    changed = signed_in.put(
        one,
        {**asked_for(party="The public defender"), "version": 1, "reason": "misread"},
        content_type="application/json",
    )
    assert (changed.json()["party"], changed.json()["version"]) == ("The public defender", 2)
    gone = signed_in.post(
        url("withdraw-request", case, request_id=sent["id"]),
        {"version": 2, "reason": "quashed"},
        content_type="application/json",
    )
    assert (gone.json()["state"], gone.json()["void_reason"]) == ("withdrawn", "quashed")
    assert [row["id"] for row in signed_in.get(url("requests", case)).json()] == [sent["id"]]
    assert signed_in.get(one).json()["releases"] == []


def test_the_same_key_of_a_request_gets_the_first_answer(signed_in):
    case, key, sent = make_case(), str(new_id()), body()
    answers = [
        signed_in.post(
            url("requests", case),
            sent,
            content_type="application/json",
            headers={"Idempotency-Key": key},
        ).json()
        for _ in range(2)
    ]
    assert answers[0] == answers[1]
    assert RecordsRequest.objects.count() == 1


def test_refusals_have_their_codes(client, signed_in, clerk):
    case = make_case()
    asked = make_request(case, clerk)
    one = url("request", case, request_id=asked.pk)
    wrong = signed_in.post(url("requests", case), body(court=""), content_type="application/json")
    assert wrong.status_code == 422
    assert "court" in wrong.json()["errors"]
    stale = signed_in.put(
        one, {**asked_for(), "version": 9, "reason": "x"}, content_type="application/json"
    )
    assert (stale.status_code, stale.json()["code"]) == (409, "stale")
    assert stale.json()["standing"]["cause_number"] == "26-CF-0117"
    missing = url("request", case, request_id=new_id())
    assert signed_in.get(missing).status_code == 404
    client.force_login(make_staff(Role.PATHOLOGIST))
    denied = client.post(url("requests", case), body(), content_type="application/json")
    assert (denied.status_code, denied.json()["code"]) == (403, "not_allowed")
