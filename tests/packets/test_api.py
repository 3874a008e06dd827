"""The API of packets calls the same actions as the pages."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.packets import tasks
from cases.packets.models import Packet
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.packets.builders import make_packet, make_request, signed_case

pytestmark = pytest.mark.django_db
JSON = "application/json"


def url(name, case_id, **keys):
    return reverse(f"packets_api:{name}", kwargs={"case_id": case_id, **keys})


def test_a_packet_is_asked_for_followed_fetched_and_released(signed_in, clerk):
    asked = make_request(signed_case(), clerk)
    sent = {"id": str(new_id()), "request_id": str(asked.pk), "with_history": False}
    made = signed_in.post(url("packets", asked.case_id), sent, content_type=JSON)
    assert made.status_code == 201
    assert (made.json()["state"], made.json()["percent"], made.json()["file"]) == (
        "waiting", 0, None,
    )  # fmt: skip
    again = signed_in.post(url("packets", asked.case_id), sent, content_type=JSON)
    assert again.json()["id"] == made.json()["id"]
    assert Packet.objects.count() == 1
    tasks.build_packet(request_id=sent["id"])
    one = url("packet", asked.case_id, packet_id=sent["id"])
    built = signed_in.get(one).json()
    assert (built["state"], built["percent"], built["photographs"]) == ("made", 100, 2)
    fetched = signed_in.get(built["file"])
    assert fetched.status_code == 200
    assert len(fetched.getvalue()) == built["size_bytes"]
    release = {
        "id": str(new_id()),
        "version": asked.version,
        "released_to": "A. Pell",
        "method": "courier",
        "released_at": timezone.now().isoformat(),
        "released_by": str(clerk.pk),
    }
    where = url("release-packet", asked.case_id, packet_id=sent["id"])
    released = signed_in.post(where, release, content_type=JSON)
    assert released.status_code == 201
    assert released.json()["packet_sha256"] == built["sha256"]
    twice = signed_in.post(where, release, content_type=JSON)
    assert (twice.status_code, twice.json()["id"]) == (201, release["id"])
    assert [row["number"] for row in signed_in.get(url("packets", asked.case_id)).json()] == [1]


def test_refusals_have_their_codes(client, signed_in, clerk):
    asked = make_request(make_case(state="signed"), clerk)
    packet = make_packet(asked, clerk)
    keys = {"packet_id": packet.pk}
    sent = {"id": str(new_id()), "request_id": str(asked.pk)}
    under_way = signed_in.post(url("packets", asked.case_id), sent, content_type=JSON)
    assert (under_way.status_code, under_way.json()["code"]) == (422, "refused")
    retry = signed_in.post(
        url("retry-packet", asked.case_id, **keys), {"version": 9}, content_type=JSON
    )
    assert (retry.status_code, retry.json()["code"]) == (409, "stale")
    empty = signed_in.post(url("release-packet", asked.case_id, **keys), {}, content_type=JSON)
    assert empty.status_code == 422
    assert {"id", "version", "released_to"} <= set(empty.json()["errors"])
    missing = url("packet", asked.case_id, packet_id=new_id())
    assert signed_in.get(missing).status_code == 404
    client.force_login(make_staff(Role.INVESTIGATOR))
    denied = client.post(url("packets", asked.case_id), sent, content_type=JSON)
    assert (denied.status_code, denied.json()["code"]) == (403, "not_allowed")
