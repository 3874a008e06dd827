"""The calculations through the API: list, compute, keep, void."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from findings.calculations.registry import METHODS
from findings.computing.models import Calculation
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.computing.builders import COLD_SHED, LONG_COLD, WHEN, keep

pytestmark = pytest.mark.django_db


@pytest.fixture
def vasko(client):
    someone = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    client.force_login(someone)
    return someone


def send(client, url, body):
    return client.post(url, json.dumps(body), content_type="application/json")


def of_case(case):
    return reverse("computing_api:calculations", args=[case.pk])


def test_the_methods_are_listed_with_fields_and_cautions(client, vasko):
    listed = client.get(reverse("computing_api:methods")).json()
    assert [one["name"] for one in listed] == [method.name for method in METHODS]
    assert all(one["cautions"] and one["fields_taken"] for one in listed)


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.name)
def test_each_example_is_computed_and_nothing_is_kept(client, vasko, method):
    url = reverse("computing_api:method", args=[method.name])
    answer = send(client, url, {"inputs": dict(method.example)})
    assert answer.status_code == 200, answer.json()
    assert answer.json()["cautions"] == list(method.cautions)
    assert not Calculation.objects.exists()


def test_a_refusal_has_its_reason_and_no_hours(client, vasko):
    url = reverse("computing_api:method", args=["pmi_rectal"])
    body = send(client, url, {"inputs": LONG_COLD}).json()
    assert body["refused"]
    assert "Q below 0.2" in body["reason"]
    assert "t_h" not in body["result"]
    assert body["result"]["estimate"] is None


def test_a_bad_input_names_its_field(client, vasko):
    url = reverse("computing_api:method", args=["pmi_rectal"])
    answer = send(client, url, {"inputs": {**COLD_SHED, "mass_kg": "heavy"}})
    assert (answer.status_code, answer.json()["field"]) == (422, "mass_kg")
    assert send(client, url, {"inputs": "warm"}).status_code == 422
    unknown = reverse("computing_api:method", args=["drug_reference"])
    answer = send(client, unknown, {"inputs": {}})
    assert answer.status_code == 404
    assert "toxicologist" in answer.json()["message"]


def _new(**changed):
    return {
        "id": str(new_id()),
        "method": "pmi_rectal",
        "inputs": COLD_SHED,
        "measured_at": WHEN.isoformat(),
        "note": "For court",
        **changed,
    }


def test_one_is_kept_listed_read_and_voided(client, vasko):
    case, body = make_case(), _new()
    first, again = send(client, of_case(case), body), send(client, of_case(case), body)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert [one["id"] for one in client.get(of_case(case)).json()] == [body["id"]]
    one = reverse("computing_api:calculation", args=[case.pk, body["id"]])
    assert client.get(one).json()["result"]["cautions"]
    void = reverse("computing_api:void", args=[case.pk, body["id"]])
    assert send(client, void, {"version": 9, "reason": "x"}).status_code == 409
    assert send(client, void, {"version": 1, "reason": "Wrong probe"}).json()["void_reason"]
    assert client.get(of_case(case)).json() == []


def test_a_kept_refusal_shows_no_hours(client, vasko):
    case = make_case()
    keep(case, vasko, inputs=LONG_COLD)
    (one,) = client.get(of_case(case)).json()
    assert one["refused"]
    assert "t_h" not in one["result"]


def test_a_bad_record_is_refused_with_its_field(client, vasko):
    case = make_case()
    for changed, field in (
        ({"inputs": {**COLD_SHED, "mass_kg": 0}}, "mass_kg"),
        ({"method": "tea_leaves"}, "method"),
        ({"measured_at": "2400-01-01T00:00:00Z"}, "measured_at"),
    ):
        answer = send(client, of_case(case), _new(**changed))
        assert (answer.status_code, answer.json()["field"]) == (422, field)
    assert send(client, of_case(case), {"note": "x"}).status_code == 422


def test_who_may_not_keep_and_who_may_not_know(client, vasko):
    secret = make_case(restricted=True)
    assert client.get(of_case(secret)).status_code == 404
    client.force_login(make_staff(Role.RECORDS_CLERK))
    case = make_case()
    assert client.get(of_case(case)).status_code == 200
    assert send(client, of_case(case), _new()).status_code == 403
