"""Pages of packets: who may what, progress, failure, download, release."""

from __future__ import annotations

import base64
import hashlib
import io
from datetime import timedelta

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.court.models import RecordsRequest, Release
from cases.packets import actions, queries, tasks
from cases.packets.actions import MadePacket
from cases.packets.currency import holds_now, kept
from cases.packets.models import Packet
from cases.worklists import sections_for
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from me_office.jobs.actions import note_progress
from tests.builders import CASE_STAFF, make_case, make_staff
from tests.packets.builders import (
    examined_case,
    make_clerk,
    make_packet,
    make_people,
    make_request,
    packet_for,
    signed_case,
)

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def asked(clerk):
    return make_request(make_case(state="signed"), clerk)


def url(name, case_id, **keys):
    return reverse(f"packets:{name}", kwargs={"case_id": case_id, **keys})


def page_of(client, packet):
    return client.get(url("packets", packet.case_id)).content.decode()


def finish(packet, by, **fields):
    """Say that a packet was built, without building it."""
    actions.begin_packet(by, packet_id=packet.pk)
    values = {"path": "packets/aa/x.zip", "sha256": "b" * 64, "size_bytes": 2_400_000, "pages": 12,
              "photographs": 3, "holds": kept(holds_now(packet.case)), **fields}  # fmt: skip
    return actions.finish_packet(by, packet_id=packet.pk, attempt=1, made=MadePacket(**values))


def form_of(asked, **fields):
    return {
        "asked": str(asked.pk),
        "with_photographs": "on",
        "record_id": str(new_id()),
        "request_key": str(new_id()),
        **fields,
    }


def test_every_role_sees_the_packets_and_only_some_may_build_fetch_and_release(
    client, clerk, asked
):
    packet = finish(make_packet(asked, clerk), clerk)
    keys = {"packet_id": packet.pk}
    for role in CASE_STAFF:
        client.force_login(make_staff(role))
        page = client.get(url("packets", asked.case_id))
        assert page.status_code == 200, role
        may = role in {Role.RECORDS_CLERK, Role.SUPERVISOR}
        text = page.content.decode()
        assert "b" * 64 in text, role
        for words in ("Build another packet", "Record the release", "Download"):
            assert (words in text) is may, (role, words)
        release = client.get(url("release-packet", asked.case_id, **keys))
        assert release.status_code == (200 if may else 403), role
        assert ("required for a part" in release.content.decode()) is may, role
        if not may:
            fetched = client.get(url("download-packet", asked.case_id, **keys))
            assert fetched.status_code == 403, role


def test_an_administrator_sees_no_packet_and_no_report(client, asked):
    client.force_login(make_staff(Role.ADMINISTRATOR))
    assert client.get(url("packets", asked.case_id)).status_code == 404
    assert client.get(url("report-pdf", asked.case_id)).status_code == 404


def test_the_page_says_why_an_open_case_is_not_packed_and_what_to_do(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    text = signed_in.get(url("packets", asked.case_id)).content.decode()
    assert "A packet holds what was signed, and this case is open." in text
    assert url("report-pdf", asked.case_id) in text
    assert "Build a packet" not in text
    answer = signed_in.post(url("packets", asked.case_id), form_of(asked))
    assert answer.status_code == 422
    assert Packet.objects.count() == 0


def test_without_a_request_the_page_leads_to_logging_one(signed_in):
    case = make_case(state="signed")
    text = signed_in.get(url("packets", case.pk)).content.decode()
    assert "A packet answers a request." in text
    assert reverse("court:log-request", kwargs={"case_id": case.pk}) in text


def test_a_packet_is_asked_for_by_the_form_once(signed_in, asked):
    filled = form_of(asked)
    for _ in range(2):
        answer = signed_in.post(url("packets", asked.case_id), filled)
        assert answer.status_code == 302
    packet = Packet.objects.get()
    assert (packet.with_photographs, packet.with_history) == (True, False)
    assert answer["Location"].endswith(f"#packet-{packet.pk}")


def test_a_form_without_a_request_keeps_its_choices_and_says_so(signed_in, asked):
    answer = signed_in.post(url("packets", asked.case_id), form_of(asked) | {"asked": ""})
    assert answer.status_code == 422
    assert answer.context["form"].errors["asked"] == ["This field is required."]
    other = make_request(make_case(state="signed"), make_clerk())
    answer = signed_in.post(url("packets", asked.case_id), form_of(other))
    assert answer.status_code == 422


def test_progress_is_asked_for_until_the_packet_is_built(signed_in, clerk, asked):
    packet = make_packet(asked, clerk)
    address = url("packet", asked.case_id, packet_id=packet.pk)
    assert f'hx-get="{address}"' in page_of(signed_in, packet)
    actions.begin_packet(clerk, packet_id=packet.pk)
    note_progress(packet.pk, percent=42, step="copies photographs, 8 of 20")
    looks = AccessEvent.objects.count()
    part = signed_in.get(address, headers=HTMX)
    text = part.content.decode()
    assert "Copies photographs, 8 of 20" in text
    assert 'value="42"' in text
    assert f'data-work="{packet.pk}"' in text and "data-outcome" not in text
    assert "<html" not in text
    assert "HX-Request" in part["Vary"]
    assert AccessEvent.objects.count() == looks
    made = MadePacket("packets/aa/x.zip", "b" * 64, 1, 12, 3)
    actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=made)
    text = signed_in.get(address, headers=HTMX).content.decode()
    assert "hx-get" not in text
    assert "12 pages, 3 photographs" in text
    assert f'data-work="{packet.pk}" data-outcome="Ready: packet {packet.number}"' in text
    assert signed_in.get(address).status_code == 302


def test_a_failure_is_said_in_words_and_tried_again(signed_in, clerk, asked):
    packet = make_packet(asked, clerk)
    actions.begin_packet(clerk, packet_id=packet.pk)
    failed = actions.fail_packet(
        clerk, packet_id=packet.pk, attempt=1, failure="The original of photograph 3 is missing."
    )
    text = page_of(signed_in, packet)
    assert "The original of photograph 3 is missing." in text
    assert f'data-outcome="Not built: packet {packet.number}"' in text
    again = url("retry-packet", asked.case_id, packet_id=packet.pk)
    assert again in text
    stale = signed_in.post(again, {"version": 1, "request_key": str(new_id())})
    assert stale.status_code == 409
    for _ in range(2):
        sent = {"version": failed.version, "request_key": "0198c2a0-0000-7000-8000-000000000001"}
        assert signed_in.post(again, sent).status_code == 302
    packet.refresh_from_db()
    assert packet.state == "waiting"


def test_a_built_packet_is_fetched_whole_noted_and_released(signed_in, clerk):
    packet = packet_for(signed_case(), clerk)
    address = url("download-packet", packet.case_id, packet_id=packet.pk)
    assert signed_in.get(address).status_code == 404
    tasks.build_packet(request_id=str(packet.pk))
    packet.refresh_from_db()
    fetched_whole_and_noted(signed_in, packet, address)
    released_and_answered(signed_in, clerk, packet)


def fetched_whole_and_noted(signed_in, packet, address):
    head = signed_in.head(address)
    assert (head.status_code, head.content) == (200, b"")
    assert not AccessEvent.objects.filter(what__startswith="packet fetched").exists()
    answer = signed_in.get(address)
    content = answer.getvalue()
    digest = hashlib.sha256(content)
    assert digest.hexdigest() == packet.sha256
    assert head["Content-Length"] == str(len(content))
    # RFC 9110, section 14: a download that broke off goes on where it stopped.
    middle = len(content) // 2
    unchanged = {"Range": f"bytes={middle}-", "If-Range": head["ETag"]}
    rest = signed_in.get(address, headers=unchanged)
    assert (rest.status_code, rest.getvalue()) == (206, content[middle:])
    assert rest["Content-Range"] == f"bytes {middle}-{len(content) - 1}/{len(content)}"
    assert int(answer["Content-Length"]) == len(content) == packet.size_bytes
    # RFC 9530, section 3: the digest of the representation, as a structured byte sequence.
    assert answer["Repr-Digest"] == f"sha-256=:{base64.b64encode(digest.digest()).decode()}:"
    assert answer["Content-Disposition"].startswith('attachment; filename="case-2026-')
    event = AccessEvent.objects.get(what="packet fetched")
    assert (event.record_id, event.actor_name) == (str(packet.pk), "R. Ostrander")


def release_form(packet, by, **fields):
    return {
        "released_to": "A. Pell, county attorney",
        "method": "courier",
        "released_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "released_by": str(by.pk),
        "note": "Tracking 88",
        "answers": "whole",
        "still_due": "",
        "record_id": str(new_id()),
        "version": str(packet.request.version),
        "request_key": str(new_id()),
        **fields,
    }


def released_and_answered(signed_in, clerk, packet):
    address = url("release-packet", packet.case_id, packet_id=packet.pk)
    page = signed_in.get(address).content.decode()
    assert "This packet holds" in page
    wrong = signed_in.post(
        address, release_form(packet, clerk, released_to="", method="", answers="")
    )
    assert wrong.status_code == 422
    assert set(wrong.context["form"].errors) == {"released_to", "method", "answers"}
    assert "Tracking 88" in wrong.content.decode()
    future = (timezone.localtime() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    early = signed_in.post(address, release_form(packet, clerk, released_at=future))
    assert early.context["form"].errors["released_at"] == ["The release cannot be in the future."]
    stale = signed_in.post(address, release_form(packet, clerk, version="9"))
    assert stale.status_code == 409
    assert "Someone else saved this" in stale.content.decode()
    filled = release_form(packet, clerk)
    for _ in range(2):
        assert signed_in.post(address, filled).status_code == 302
    assert Release.objects.count() == 1
    assert RecordsRequest.objects.get().state == "answered"
    text = page_of(signed_in, packet)
    assert "released" in text
    assert "Record the release" not in text


def test_everyone_on_the_case_reads_the_report_as_pdf(client):
    vasko, _ = make_people()
    case = examined_case(vasko)
    looks = AccessEvent.objects.filter(case_id=case.pk, what="report as PDF")
    for before, role in enumerate(CASE_STAFF):
        assert looks.count() == before
        client.force_login(make_staff(role))
        answer = client.get(url("report-pdf", case.pk))
        assert answer["Content-Type"] == "application/pdf", role
        assert answer["Content-Disposition"].startswith("inline"), role
        assert answer["Cache-Control"] == "no-store", role
        with pikepdf.open(io.BytesIO(answer.content)) as pdf:
            assert len(pdf.pages) >= 2, role
    assert looks.count() == len(CASE_STAFF)


def test_pages_need_as_many_statements_for_three_packets_as_for_sixty(signed_in, clerk, asked):
    def statements():
        with CaptureQueriesContext(connection) as seen:
            assert signed_in.get(url("packets", asked.case_id)).status_code == 200
        return len(seen)

    def fill(numbers):
        built = {"state": "made", "built_at": timezone.now(), "sha256": "b" * 64, "size_bytes": 9}
        for number in numbers:
            packet = Packet.objects.create(
                case=asked.case, request=asked, number=number, path=f"packets/aa/{number}.zip",
                created_by=clerk, changed_by=clerk, **built,
            )  # fmt: skip
            note_progress(packet.pk, percent=100, step="built")

    fill(range(1, 4))
    statements()
    few = statements()
    fill(range(4, 61))
    assert statements() == few <= 16


def rows_of(clerk):
    return {section.key: section.rows(clerk, timezone.now()) for section in sections_for(clerk)}


def test_the_worklist_moves_from_due_to_release_to_done(clerk, asked):
    (due,) = rows_of(clerk)["requests-due"]
    assert due.title == "Subpoena, Circuit Court, cause 26-CF-0117"
    assert (due.when, due.urgency) == ("due tomorrow", "stop")
    packet = finish(make_packet(asked, clerk), clerk)
    rows = rows_of(clerk)
    assert rows["requests-due"] == []
    (waits,) = rows["packets-to-release"]
    assert waits.title == "Release packet is built"
    assert waits.detail.startswith("12 pages, 3 photographs; Subpoena")
    newer = make_packet(asked, clerk)
    actions.begin_packet(clerk, packet_id=newer.pk)
    actions.fail_packet(clerk, packet_id=newer.pk, attempt=1, failure="The disk is full.")
    (waits,) = rows_of(clerk)["packets-to-release"]
    assert (waits.title, waits.detail) == ("Packet 2 was not built", "The disk is full.")
    assert queries.packet_of(packet.case_id, packet.pk).release is None


def test_the_first_page_of_a_clerk_shows_them(signed_in, clerk, asked):
    finish(make_packet(asked, clerk), clerk)
    text = signed_in.get("/").content.decode()
    for words in ("Due", "Packets to release", "Recently released", "Answered in time"):
        assert words in text
