"""The API of the case file: the same acts, the same refusals, the same answer twice."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from cases.models import Case, Decedent, Identification, SceneReading
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago, first_call, logged_case, open_case, received, seen_at_scene

pytestmark = pytest.mark.django_db

CASE_NAMES = ("heading", "place_of_death")
DECEDENT_NAMES = ("family_name", "given_names", "sex", "age_years")
ENTRIES: dict[str, dict[str, Any]] = {
    "readings": {"kind": "ambient", "value_c": "8.5", "read_at": ago(hours=3)},
    "medication": {"name": "Lisinopril"},
    "people": {"part": "witness", "name": "Bram Orme"},
    "places": {"kind": "moved", "address": "Mill Street 3", "told_by": "R. Orme"},
    "identifications": {
        "identity": "tentative", "method": "visual", "made_by": "B. Orme", "made_at": ago(hours=2),
    },
}  # fmt: skip


def as_(*roles: Role) -> APIClient:
    client = APIClient()
    client.force_login(make_staff(*roles))
    return client


def call_body(**said) -> dict:
    entry = first_call(**said)
    return {
        "id": str(new_id()),
        "case": {name: entry.pop(name) for name in CASE_NAMES if name in entry},
        "decedent": {name: entry.pop(name) for name in DECEDENT_NAMES if name in entry},
        "report": entry,
    }


def send(client: APIClient, method: str, path: str, body: dict, **headers):
    return getattr(client, method)(path, body, format="json", headers=headers)


def test_a_report_is_logged_read_corrected_and_decided():
    client = as_(Role.INVESTIGATOR)
    made = send(client, "post", "/api/cases/", call_body())
    assert made.status_code == 201
    path = f"/api/cases/{made.json()['id']}/"
    report = client.get(f"{path}report-of-death/").json()
    assert report["caller_name"] == "Deputy K. Marsh"
    said = {name: value for name, value in report.items() if name not in {"id", "version"}}
    corrected = send(
        client, "put", f"{path}report-of-death/",
        {"version": 1, "reason": "read back", "report": said | {"caller_phone": "1"}},
    )  # fmt: skip
    assert (corrected.status_code, corrected.json()["version"]) == (200, 2)
    version = client.get(path).json()["version"]
    accepted = send(
        client, "post", f"{path}jurisdiction/accept/",
        {"id": str(new_id()), "version": version, "reason": "unattended"},
    )  # fmt: skip
    assert accepted.status_code == 201
    assert accepted.json()["case_number"] == Case.objects.get().number
    assert client.get(path).json()["state"] == "open"


def test_the_same_request_twice_has_the_same_answer():
    client, body = as_(Role.INVESTIGATOR), call_body()
    key = {"Idempotency-Key": str(new_id())}
    first = send(client, "post", "/api/cases/", body, **key)
    again = send(client, "post", "/api/cases/", body, **key)
    without_key = send(client, "post", "/api/cases/", body)
    assert first.json() == again.json() == without_key.json()
    assert Case.objects.count() == 1
    body["report"]["circumstances"] = "something else"
    assert send(client, "post", "/api/cases/", body).status_code == 409


def test_a_change_sent_twice_is_not_stale():
    case, client = make_case(), as_(Role.INVESTIGATOR)
    key, body = {"Idempotency-Key": str(new_id())}, {"version": 1, "sex": "male"}
    path = f"/api/cases/{case.pk}/decedent/"
    first = send(client, "put", path, body, **key)
    again = send(client, "put", path, body, **key)
    assert first.json() == again.json()
    assert first.json()["version"] == 2
    assert send(client, "put", path, body).status_code == 409


def test_a_declined_report_can_be_accepted():
    case, client = logged_case(), as_(Role.SUPERVISOR)
    path = f"/api/cases/{case.pk}/jurisdiction/"
    for step, version in (("decline", 1), ("accept", 2)):
        body = {"id": str(new_id()), "version": version, "reason": "as seen"}
        assert send(client, "post", f"{path}{step}/", body).status_code == 201


def test_what_is_wrong_is_named_by_field():
    client = as_(Role.INVESTIGATOR)
    wrong = call_body(caller_name="")
    answer = send(client, "post", "/api/cases/", wrong)
    assert answer.status_code == 422
    ahead = call_body(called_at=timezone.now() + timedelta(days=1))
    answer = send(client, "post", "/api/cases/", ahead)
    assert answer.status_code == 422
    assert answer.json()["errors"] == {"called_at": ["This time is in the future."]}
    assert send(client, "post", "/api/cases/", {"id": "x"}).status_code == 422


def test_stale_shows_what_stands():
    case, client = make_case(), as_(Role.INVESTIGATOR)
    answer = send(
        client, "put", f"/api/cases/{case.pk}/decedent/", {"version": 9, "family_name": "Halsted"}
    )
    assert answer.status_code == 409
    assert answer.json()["code"] == "stale"
    assert answer.json()["standing"]["family_name"] == "Hallstead"


def test_the_scene_and_the_receipt_are_recorded_and_read():
    case, client = open_case(), as_(Role.INVESTIGATOR)
    for name, entry in (("scene", seen_at_scene()), ("body-receipt", received())):
        path = f"/api/cases/{case.pk}/{name}/"
        assert client.get(path).status_code == 404
        body = entry | {"id": str(new_id()), "version": 0}
        saved = send(client, "put", path, body)
        assert saved.status_code == 200, saved.json()
        assert send(client, "put", path, body).json() == saved.json()
        assert client.get(path).json() == saved.json()
        assert send(client, "put", path, body | {"version": 4}).status_code == 409


@pytest.mark.parametrize("kind", ENTRIES)
def test_an_entry_is_recorded_listed_changed_and_voided(kind):
    case, client, key = open_case(), as_(Role.INVESTIGATOR), str(new_id())
    path = f"/api/cases/{case.pk}/{kind}/"
    body = ENTRIES[kind] | {"id": key, "version": 0}
    made = send(client, "post", path, body)
    assert made.status_code == 201, made.json()
    assert send(client, "post", path, body).json() == made.json()
    changed = send(client, "post", path, body | {"version": 1, "reason": "typing"})
    assert (changed.status_code, changed.json()["version"]) == (200, 2)
    assert [one["id"] for one in client.get(path).json()] == [key]
    assert send(client, "post", f"{path}{key}/void/", {"version": 2}).status_code == 422
    elsewhere = f"/api/cases/{new_id()}/{kind}/{key}/void/"
    said = {"version": 2, "reason": "another case's address"}
    assert send(client, "post", elsewhere, said).status_code == 404
    voided = send(client, "post", f"{path}{key}/void/", {"version": 2, "reason": "wrong case"})
    assert voided.json()["voided_at"]
    assert client.get(path).json() == []
    event = AuditEvent.objects.filter(record_id=key).last()
    assert (event.source, event.reason) == ("api", "wrong case")


def test_assigning_restricting_and_the_team():
    thorne, vasko, clerk = (
        make_staff(Role.SUPERVISOR), make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK),
    )  # fmt: skip
    case, client = make_case(), APIClient()

    def request_as_thorne(method: str, path: str, body: dict):
        client.force_login(thorne)
        return send(client, method, f"/api/cases/{case.pk}/{path}", body)

    body = {"version": 1, "pathologist": str(vasko.pk)}
    assigned = request_as_thorne("put", "assignment/", body)
    assert assigned.json()["pathologist_id"] == str(vasko.pk)
    body = {"version": 2, "reason": "board member"}
    assert request_as_thorne("post", "restriction/", body).json()["restricted"] is True
    added = request_as_thorne("post", "team/", {"id": str(new_id()), "member": str(clerk.pk)})
    assert added.status_code == 201
    team = {one["member"] for one in client.get(f"/api/cases/{case.pk}/team/").json()}
    assert team == {str(thorne.pk), str(vasko.pk), str(clerk.pk)}
    gone = request_as_thorne(
        "post", f"team/{added.json()['id']}/remove/", {"version": 1, "reason": "sent"}
    )
    assert gone.json()["voided_at"]
    body = {"version": 3, "reason": "no longer needed"}
    assert request_as_thorne("post", "restriction/lift/", body).json()["restricted"] is False


WRITES: list[tuple[str, str, dict[str, Any], set[Role]]] = [
    ("post", "readings/", ENTRIES["readings"], {Role.INVESTIGATOR, Role.SUPERVISOR}),
    ("post", "medication/", ENTRIES["medication"], {Role.INVESTIGATOR, Role.SUPERVISOR}),
    ("post", "places/", ENTRIES["places"], {Role.INVESTIGATOR, Role.SUPERVISOR}),
    ("post", "people/", ENTRIES["people"], {Role.INVESTIGATOR, Role.SUPERVISOR}),
    (
        "post", "identifications/", ENTRIES["identifications"],
        {Role.INVESTIGATOR, Role.SUPERVISOR, Role.PATHOLOGIST},
    ),
    ("put", "scene/", seen_at_scene(), {Role.INVESTIGATOR, Role.SUPERVISOR}),
    (
        "put", "body-receipt/", received(),
        {Role.INVESTIGATOR, Role.SUPERVISOR, Role.EVIDENCE_TECHNICIAN},
    ),
    ("put", "decedent/", {}, {Role.INVESTIGATOR, Role.SUPERVISOR, Role.PATHOLOGIST}),
    ("put", "assignment/", {}, {Role.SUPERVISOR}),
    ("post", "restriction/", {"reason": "board member"}, {Role.SUPERVISOR}),
]  # fmt: skip
STARTS_AT_ONE = {"decedent/", "assignment/", "restriction/"}


@pytest.mark.parametrize(("method", "path", "entry", "roles"), WRITES)
def test_only_the_roles_of_the_table_write(method, path, entry, roles):
    for role in Role:
        case = make_case()
        body = entry | {"id": str(new_id()), "version": 1 if path in STARTS_AT_ONE else 0}
        answer = send(as_(role), method, f"/api/cases/{case.pk}/{path}", body)
        if role in roles:
            assert answer.status_code in {200, 201}, (role, answer.json())
        else:
            expected = 403 if role in CASE_ROLES else 404
            assert answer.status_code == expected, role


@pytest.mark.parametrize(("method", "path", "entry", "roles"), WRITES)
def test_a_restricted_case_is_not_known_to_others(method, path, entry, roles):
    case = make_case(restricted=True)
    body = entry | {"id": str(new_id()), "version": 1 if path in STARTS_AT_ONE else 0}
    for role in roles:
        client = as_(role)
        assert send(client, method, f"/api/cases/{case.pk}/{path}", body).status_code == 404
        assert client.get(f"/api/cases/{case.pk}/").status_code == 404
    assert not SceneReading.objects.exists()
    assert not Identification.objects.exists()


def test_the_list_and_the_search_are_limited_to_what_is_open():
    make_case()
    make_case(restricted=True, family_name="Hallstead")
    client = as_(Role.RECORDS_CLERK)
    listed = client.get("/api/cases/", {"state": "open"}).json()
    assert (listed["count"], len(listed["cases"]), listed["next"]) == (1, 1, "")
    found = client.get("/api/search/", {"q": "halsted"}).json()
    assert [match["why"] for match in found["matches"]] == [["name Oren Hallstead"]]
    assert client.get("/api/cases/", {"after": "nothing"}).status_code == 404
    assert as_(Role.ADMINISTRATOR).get("/api/cases/").json()["count"] == 0


def test_nobody_reads_without_signing_in():
    case = make_case()
    answer = APIClient().get(f"/api/cases/{case.pk}/")
    assert answer.status_code in {302, 401, 403}
    assert b"Hallstead" not in answer.content
    assert Decedent.objects.exists()
