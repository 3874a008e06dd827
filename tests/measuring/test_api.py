"""The API of measuring, as another program uses it."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from evidence.measuring import tasks
from evidence.measuring.making import AROUND_PX
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, make_finding
from tests.measuring.pictures import SIZE, right_angled, straight

pytestmark = pytest.mark.django_db
JSON = "application/json"


def one(photograph, rest):
    return f"/api/cases/{photograph.case_id}/photographs/{photograph.pk}/{rest}"


def test_a_measurement_is_tried_kept_listed_used_and_withdrawn(api, photograph, vasko):
    tried = api.post(one(photograph, "measurements/trial/"), straight(), JSON).json()
    assert tried["words"].startswith("3.0 cm")
    assert api.get(one(photograph, "measurements/")).json() == []
    body = {"id": str(new_id()), "note": "widest part", **straight()}
    made = api.post(one(photograph, "measurements/"), body, JSON)
    again = api.post(one(photograph, "measurements/"), body, JSON)
    assert (made.status_code, made.json()) == (201, again.json())
    (listed,) = api.get(one(photograph, "measurements/")).json()
    assert listed["result"]["quantities"][0]["value"] == pytest.approx(30)
    finding = make_finding(photograph.case, vasko)
    kept = f"/api/cases/{photograph.case_id}/measurements/{listed['id']}/"
    use = {"id": str(new_id()), "finding": str(finding.pk), "version": 1, "dimension": "length"}
    assert api.post(f"{kept}use/", use, JSON).status_code == 201
    finding.refresh_from_db()
    assert finding.size_words == "3.0 cm"
    gone = api.post(f"{kept}void/", {"version": 1, "reason": "wrong edge"}, JSON)
    assert (gone.status_code, gone.json()["void_reason"]) == (200, "wrong edge")


def test_a_trial_says_why_it_refuses_and_a_wrong_shape_names_the_field(api, photograph):
    tried = api.post(
        one(photograph, "measurements/trial/"), straight(scale_in_plane=False), JSON
    ).json()
    assert "does not lie in the plane" in tried["refusal"]
    wrong = api.post(one(photograph, "measurements/trial/"), straight(points=[[1]]), JSON)
    assert (wrong.status_code, list(wrong.json()["errors"])) == (422, ["points"])
    for scale_points in ([{"px": [1, 2]}], [{"px": [1, 2], "mm": ["a", 1]}], 3):
        entry = straight(scale_points=scale_points)
        wrong = api.post(one(photograph, "measurements/trial/"), entry, JSON)
        assert wrong.status_code == 422, wrong.content


def test_copies_are_made_listed_and_withdrawn(api, photograph):
    body = {"id": str(new_id()), **right_angled()}
    measurement = api.post(one(photograph, "measurements/"), body, JSON).json()
    wanted = {"id": str(new_id()), "measurement": measurement["id"], "kind": "rectified"}
    asked = api.post(one(photograph, "copies/"), wanted, JSON)
    assert (asked.status_code, asked.json()["state"]) == (202, "waiting"), asked.content
    assert api.post(one(photograph, "copies/"), wanted, JSON).json() == asked.json()
    assert api.get(one(photograph, "copies/")).json() == []
    tasks.make_copy(request_id=wanted["id"])
    request = f"/api/cases/{photograph.case_id}/copy-requests/{wanted['id']}/"
    assert api.get(request).json()["state"] == "made"
    again = api.post(f"{request}retry/", {"version": 3}, JSON)
    assert (again.status_code, again.json()["code"]) == (422, "refused")
    (copy,) = api.get(one(photograph, "copies/")).json()
    assert (copy["id"], copy["parent_sha256"]) == (wanted["id"], photograph.file.sha256)
    void = f"/api/cases/{photograph.case_id}/copies/{copy['id']}/void/"
    assert api.post(void, {"version": 1, "reason": "wrong scale"}, JSON).status_code == 200
    assert api.get(one(photograph, "copies/")).json() == []


def test_a_corner_is_proposed_where_there_is_one(api, vasko):
    gray = np.full((SIZE[1], SIZE[0]), 40, np.uint8)
    gray[300:, 500:] = 220
    buffer = io.BytesIO()
    Image.fromarray(gray).save(buffer, "PNG")
    photograph = add(vasko, make_case(), buffer.getvalue(), name="DSC_1.png")
    near = api.get(one(photograph, "corner/"), {"x": "501.5", "y": "298.9"}).json()
    assert near["found"]
    assert (near["x"], near["y"]) == (pytest.approx(500, abs=0.5), pytest.approx(300, abs=0.5))
    assert api.get(one(photograph, "corner/"), {"x": "100", "y": "100"}).json() == {"found": False}
    assert api.get(one(photograph, "corner/"), {"x": "3", "y": "3"}).json() == {"found": False}
    for far in ("-50000", "50000", "3e9", "-1e300", "1e300"):
        for place in ({"x": far, "y": "300"}, {"x": "500", "y": far}):
            answer = api.get(one(photograph, "corner/"), place)
            assert (answer.status_code, answer.json()) == (200, {"found": False}), place
    for endless in ("inf", "-inf", "1e999"):
        assert api.get(one(photograph, "corner/"), {"x": endless, "y": "3"}).status_code == 422
    assert api.get(one(photograph, "corner/"), {"x": "a", "y": "3"}).status_code == 422
    assert api.get(one(photograph, "corner/")).status_code == 422
    assert api.get(one(photograph, "corner/"), {"x": "nan", "y": "3"}).status_code == 422


def test_a_corner_is_looked_for_up_to_where_its_surroundings_end(api, vasko):
    right, bottom = SIZE[0] - AROUND_PX, SIZE[1] - AROUND_PX
    gray = np.full((SIZE[1], SIZE[0]), 40, np.uint8)
    gray[bottom:, right:] = 220
    buffer = io.BytesIO()
    Image.fromarray(gray).save(buffer, "PNG")
    photograph = add(vasko, make_case(), buffer.getvalue(), name="DSC_2.png")
    for x, y, found in (
        (right, bottom, True), (right + 1, bottom, False), (right, bottom + 1, False),
        (AROUND_PX - 1, bottom, False), (right, AROUND_PX - 1, False),
    ):  # fmt: skip
        near = api.get(one(photograph, "corner/"), {"x": str(x), "y": str(y)}).json()
        assert near["found"] is found, (x, y)


def test_readers_read_and_try_and_others_know_of_nothing(client, photograph):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert client.get(one(photograph, "measurements/")).status_code == 200
    body = {"id": str(new_id()), **straight()}
    assert client.post(one(photograph, "measurements/"), body, JSON).status_code == 403
    photograph.case.restricted = True
    photograph.case.save()
    for rest in ("measurements/", "copies/"):
        assert client.get(one(photograph, rest)).status_code == 404
    assert client.get(one(photograph, "corner/"), {"x": 9, "y": 9}).status_code == 404
    tried = client.post(one(photograph, "measurements/trial/"), straight(), JSON)
    assert tried.status_code == 404
