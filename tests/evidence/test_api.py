"""The API of photographs, specimens, property and custody."""

from __future__ import annotations

from unittest.mock import patch

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.items import specimen_entry
from tests.evidence.pictures import described, make_finding, picture_bytes
from tests.evidence.things import RING

pytestmark = pytest.mark.django_db
JSON = "application/json"


def body(content=None, *, name="DSC_1.jpg", record_id=None, **fields):
    line = {**described(), **fields}
    line["taken_at"] = "2026-11-14T09:20:37"
    upload = SimpleUploadedFile(name, picture_bytes() if content is None else content)
    return {"id": str(record_id or new_id()), "upload": upload, **line}


def send(api, case, **fields):
    return api.post(f"/api/cases/{case.pk}/photographs/", body(**fields))


def test_a_photograph_is_added_read_described_linked_and_withdrawn(api, case, vasko):
    made = send(api, case)
    assert made.status_code == 201
    one = f"/api/cases/{case.pk}/photographs/{made.json()['id']}/"
    assert (made.json()["number"], made.json()["preview"]) == (1, "waiting")
    assert api.get(one).json()["sha256"] == Photograph.objects.get().file.sha256
    finding = make_finding(case, vasko)
    link = api.post(f"{one}findings/", {"id": str(new_id()), "finding": str(finding.pk)}, JSON)
    # The upload speaks multipart, everything else JSON as well.
    assert link.status_code == 201, link.content
    away = f"/api/cases/{case.pk}/photograph-links/{link.json()['id']}/void/"
    assert api.post(away, {"version": 1, "reason": "other side"}, JSON).status_code == 200
    changed = api.patch(one, {"version": 1, "shows": "Left hand"}, JSON)
    assert changed.status_code == 200, changed.content
    assert (changed.json()["shows"], changed.json()["region"]) == ("Left hand", "chest")
    gone = api.post(f"{one}void/", {"version": 2, "reason": "wrong case"}, JSON)
    assert gone.status_code == 200
    assert api.get(f"/api/cases/{case.pk}/photographs/").json() == []
    sources = AuditEvent.objects.filter(case_id=case.pk, act="describe_photograph")
    assert set(sources.values_list("source", flat=True)) == {"api"}


def test_the_same_request_twice_is_one_photograph(api, case):
    record_id, key = new_id(), str(new_id())
    for _ in range(2):
        answer = api.post(
            f"/api/cases/{case.pk}/photographs/",
            body(record_id=record_id),
            headers={"Idempotency-Key": key},
        )
        assert answer.status_code == 201
        assert answer.json()["id"] == str(record_id)
    assert Photograph.objects.count() == 1


def test_the_same_file_is_answered_with_the_photograph_that_holds_it(api, case):
    first = send(api, case).json()
    again = send(api, case)
    assert again.status_code == 409
    assert again.json()["code"] == "already_in_case"
    assert again.json()["photograph"] == {"id": first["id"], "number": 1}


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"content": b""}, "upload"),
        ({"content": b"letter"}, "upload"),
        ({"photographer": ""}, "photographer"),
        ({"view": "from above"}, "view"),
    ],
)
def test_a_refusal_names_its_field(api, case, fields, field):
    answer = send(api, case, **fields)
    assert answer.status_code == 422
    said = answer.json()
    assert field in {said.get("field"), *said.get("errors", {})}
    assert Photograph.objects.count() == 0


def test_who_may_not_is_told_so_and_nothing_is_stored(client, case):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    with patch("evidence.store.receive") as receive:
        answer = send(client, case)
    assert answer.status_code == 403
    assert answer.json()["code"] == "not_allowed"
    receive.assert_not_called()


def test_a_stale_description_is_answered_with_what_stands(api, case):
    one = f"/api/cases/{case.pk}/photographs/{send(api, case).json()['id']}/"
    api.patch(one, {"version": 1, "shows": "Hers"}, JSON)
    stale = api.patch(one, {"version": 1, "shows": "Mine"}, JSON)
    assert stale.status_code == 409
    assert stale.json()["standing"]["shows"] == "Hers"
    assert api.patch(one, {"shows": "Mine"}, JSON).status_code == 422


def json_of(entry):
    return {
        name: value.isoformat() if hasattr(value, "isoformat") else value
        for name, value in entry.items()
    }


def new_item(vasko, **fields):
    entry = json_of(specimen_entry(vasko, **fields))
    return {**entry, "id": str(new_id()), "collected_by": str(vasko.pk)}


def test_a_specimen_goes_through_the_api_from_taking_to_withdrawal(api, case, vasko):
    root = f"/api/cases/{case.pk}"
    made = api.post(f"{root}/specimens/", new_item(vasko), JSON)
    assert made.status_code == 201, made.content
    one = f"{root}/specimens/{made.json()['id']}"
    item = f"{root}/items/{made.json()['item']}"
    assert api.get(f"{root}/specimens/").json()[0]["material"] == "Blood"
    assert api.patch(f"{one}/", {"version": 1, "site": "Heart"}, JSON).status_code == 422
    change = {"version": 1, "site": "Heart", "reason": "misread"}
    assert api.patch(f"{one}/", change, JSON).json()["site"] == "Heart"
    custody = api.get(f"{item}/").json()
    assert (custody["holder"], custody["unbroken"]) == ("Specimen refrigerator 2", True)
    moved = {
        "id": str(new_id()), "version": custody["version"], "to_party": "Laboratory",
        "at": "2026-11-14T17:00:00Z", "place": "Dock", "purpose": "toxicology",
        "seal_state": "intact",
    }  # fmt: skip
    assert api.post(f"{item}/transfers/", moved, JSON).status_code == 201
    stale = api.post(f"{item}/transfers/", {**moved, "id": str(new_id())}, JSON)
    assert stale.status_code == 409
    seal = custody["seals"][0]
    why = {"version": 1, "broken_at": "2026-11-14T18:00:00Z", "broken_why": "sampling"}
    broken = api.post(f"{root}/seals/{seal['id']}/break/", why, JSON)
    assert broken.json()["broken_by"] == "Dr. I. Vasko"
    version = api.get(f"{item}/").json()["version"]
    new = {"id": str(new_id()), "version": version, "number": "TC 5"}
    new["applied_at"] = "2026-11-14T18:30:00Z"
    applied = api.post(f"{item}/seals/", new, JSON)
    assert applied.status_code == 201, applied.content
    assert api.post(f"{item}/seals/", new, JSON).json() == applied.json()
    leave = {"version": 1, "reason": "misread"}
    seal_url = f"{root}/seals/{applied.json()['id']}/void/"
    assert api.post(seal_url, leave, JSON).status_code == 200
    transfer = api.get(f"{root}/items/").json()[0]["transfers"][-1]
    assert api.post(f"{root}/transfers/{transfer['id']}/void/", leave, JSON).status_code == 200
    assert api.post(f"{one}/void/", {"version": 2, "reason": "twice"}, JSON).status_code == 200


def test_property_goes_through_the_api(api, case, vasko):
    root = f"/api/cases/{case.pk}/property/"
    made = api.post(root, {**new_item(vasko), **RING}, JSON)
    assert made.status_code == 201, made.content
    one = f"{root}{made.json()['id']}/"
    change = {"version": 1, "description": "White metal ring", "reason": "in daylight"}
    assert api.patch(one, change, JSON).json()["description"] == "White metal ring"
    assert api.get(root).json()[0]["version"] == 2
    assert api.post(f"{one}void/", {"version": 2, "reason": "not his"}, JSON).status_code == 200


@pytest.mark.parametrize("part", ["photographs", "specimens", "property", "items"])
def test_a_restricted_case_is_not_known_through_the_api(client, part):
    case = make_case(restricted=True)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert client.get(f"/api/cases/{case.pk}/{part}/").status_code == 404


def test_without_signing_in_nothing_is_answered(client, case):
    assert client.get(f"/api/cases/{case.pk}/photographs/").status_code in {302, 401, 403}
