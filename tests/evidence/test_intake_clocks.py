"""Camera clocks: what was recorded stays, what is known corrects it beside."""

from __future__ import annotations

import io
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

from evidence.clocks import actions, queries
from evidence.clocks.models import CameraClock
from evidence.imaging import exif
from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_staff
from tests.evidence.pictures import add

pytestmark = pytest.mark.django_db
KNOWN = {
    "zone": "America/New_York",
    "ahead_seconds": 3640,
    "known_from": "Photograph 1 shows the wall clock of the office",
}


def taken(at: str, *, serial: str = "T-417", offset: str = "") -> bytes:
    block = Image.Exif()
    block[0x010F], block[0x0110] = "Tarn", "Synthetic"
    block.get_ifd(0x8769).update({0x9003: at, 0xA431: serial})
    if offset:
        block.get_ifd(0x8769)[0x9011] = offset
    buffer = io.BytesIO()
    Image.new("RGB", (40, 30)).save(buffer, "JPEG", exif=block, comment=(at + serial).encode())
    return buffer.getvalue()


@pytest.fixture
def photograph(vasko, case):
    return add(vasko, case, taken("2026:11:14 10:20:40"), taken_at=None)


def set_clock(actor, case, *, record_id=None, version=0, serial="T-417", reason="", **entry):
    return actions.set_camera_clock(
        actor,
        case_id=case.pk,
        record_id=record_id or new_id(),
        camera="Tarn Synthetic",
        serial=serial,
        version=version,
        entry={**KNOWN, **entry},
        reason=reason,
    )


@pytest.mark.parametrize(
    ("zone", "ahead", "instant"),
    [
        ("America/New_York", 0, "2026-11-14T15:20:40+00:00"),
        ("America/New_York", 3640, "2026-11-14T14:20:00+00:00"),
        ("America/New_York", -60, "2026-11-14T15:21:40+00:00"),
        ("UTC", 0, "2026-11-14T10:20:40+00:00"),
        ("Asia/Kolkata", 0, "2026-11-14T04:50:40+00:00"),
    ],
)
def test_a_clocks_error_and_zone_give_the_true_moment(zone, ahead, instant):
    # Offsets by the IANA time zone database: New York -05:00 in November, Kolkata +05:30.
    said = {"taken": "2026:11:14 10:20:40"}
    moment = exif.corrected(said, zone=ZoneInfo(zone), ahead_seconds=ahead)
    assert moment.astimezone(ZoneInfo("UTC")).isoformat() == instant


def test_over_the_hour_that_comes_twice_the_seconds_are_true_seconds():
    # 1 November 2026, 02:00 EDT becomes 01:00 EST: 02:30 EST less an hour and a half is 01:00 EST.
    said = {"taken": "2026:11:01 02:30:00"}
    moment = exif.corrected(said, zone=ZoneInfo("America/New_York"), ahead_seconds=5400)
    assert moment.isoformat() == "2026-11-01T01:00:00-05:00"


def test_a_time_that_leaves_the_calendar_is_not_known():
    said = {"taken": "0001:01:01 00:00:00"}
    assert exif.corrected(said, zone=ZoneInfo("UTC"), ahead_seconds=86_400) is None
    assert exif.corrected({}, zone=ZoneInfo("UTC"), ahead_seconds=0) is None


def test_what_was_recorded_stays_and_the_corrected_time_stands_beside(vasko, case, photograph):
    before = Photograph.objects.filter(pk=photograph.pk).values().get()
    clock = set_clock(vasko, case)
    shot = queries.times_of(photograph)
    assert shot.recorded == "2026:11:14 10:20:40"
    assert shot.corrected_words == "2026-11-14 09:20:00 -0500"
    assert Photograph.objects.filter(pk=photograph.pk).values().get() == before
    assert clock.ahead_words == "ran 1 h 40 s ahead"
    event = AuditEvent.objects.get(table="evidence_cameraclock")
    assert (event.act, event.actor_name, event.case_id) == (
        "set_camera_clock", "Dr. I. Vasko", case.pk,
    )  # fmt: skip


def test_another_camera_keeps_its_own_clock(vasko, case, photograph):
    other = add(vasko, case, taken("2026:11:14 10:20:40", serial="T-9"), taken_at=None)
    set_clock(vasko, case)
    assert queries.times_of(other).corrected is None
    assert [camera.serial for camera in queries.cameras_with_times(case)] == ["T-417", "T-9"]
    with pytest.raises(NotKnown):
        set_clock(vasko, case, serial="T-1000")


def test_a_change_names_version_and_reason(vasko, case, photograph):
    clock = set_clock(vasko, case)
    with pytest.raises(StaleRecord):
        set_clock(vasko, case, version=7, reason="compared again")
    with pytest.raises(Refused, match="Say why"):
        set_clock(vasko, case, version=1)
    changed = set_clock(vasko, case, version=1, reason="compared again", ahead_seconds=-5)
    assert (changed.pk, changed.version, changed.ahead_seconds) == (clock.pk, 2, -5)


def test_the_same_request_twice_is_one_record(vasko, case, photograph):
    key = new_id()
    assert set_clock(vasko, case, record_id=key) == set_clock(vasko, case, record_id=key)
    with pytest.raises(Conflict):
        set_clock(vasko, case, record_id=key, ahead_seconds=1)
    assert CameraClock.objects.count() == 1


def test_who_may_not_photograph_may_not_set_a_clock(case, photograph):
    with pytest.raises(NotAllowed):
        set_clock(make_staff(Role.RECORDS_CLERK), case)


def test_a_zone_that_is_none_is_refused(vasko, case, photograph):
    with pytest.raises(Refused) as refused:
        set_clock(vasko, case, zone="Tarn/Tarnford")
    assert refused.value.field == "zone"


def test_the_pages_take_a_clock_and_show_both_times(client, vasko, case, photograph):
    client.force_login(vasko)
    folder = f"/cases/{case.pk}/photographs"
    assert b"not known" in client.get(f"{folder}/clocks/").content
    form = f"{folder}/{photograph.pk}/clock/"
    assert b"T-417" in client.get(form).content
    said = {
        "zone": "America/New_York", "direction": "ahead", "hours": "1", "minutes": "0",
        "seconds": "40", "known_from": KNOWN["known_from"], "version": "0",
    }  # fmt: skip
    bad = client.post(form, {**said, "minutes": "75"})
    assert bad.status_code == 422
    assert KNOWN["known_from"] in bad.content.decode()
    page = client.post(form, said, follow=True).content.decode()
    assert "2026:11:14 10:20:40" in page
    assert "2026-11-14 09:20:00 -0500" in page
    part = client.get(f"{folder}/{photograph.pk}/times/", HTTP_HX_REQUEST="true")
    assert b"2026-11-14 09:20:00 -0500" in part.content
    assert client.post(form, {**said, "version": "0", "reason": "x"}).status_code == 409
    client.force_login(make_staff(Role.RECORDS_CLERK))
    seen = client.get(f"{folder}/clocks/")
    assert seen.status_code == 200
    assert b"Change" not in seen.content
    assert client.get(form).status_code == 403
