"""What was named by hand: attached, decided, and in the packet with pages, digest and length."""

from __future__ import annotations

import csv
import hashlib
import io

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from cases.answers import contents, queries, tasks
from cases.answers.records import record_address
from cases.court.actions import withdraw_request
from cases.court.models import RequestCase
from cases.decisions import enclosing, ready
from cases.decisions.models import Approval, Enclosure
from cases.decisions.queries import standing_of
from cases.models import Case
from cases.redaction import reading
from evidence.store.models import StoredFile
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.answers.decided import asked_answer
from tests.builders import make_case
from tests.decisions.builders import (
    approve,
    decide,
    demand_in,
    ground_numbered,
    reaching,
    request_for,
    second_person,
)
from tests.packets.builders import make_clerk
from tests.packets.reading import complaint_of, unpacked
from tests.redaction.builders import letter_pdf

pytestmark = pytest.mark.django_db
SOUND = b"RIFF\x24\x00\x00\x00WAVEfmt " + bytes(2000)


def picture():
    made, exif = io.BytesIO(), Image.Exif()
    exif[0x010F] = "Camera of somebody"
    Image.new("RGB", (40, 30), "teal").save(made, "JPEG", exif=exif)
    return made.getvalue()


def keys(reach):
    return {"case_id": reach.request.case_id, "request_id": reach.request_id,
            "reach_id": reach.pk}  # fmt: skip


def attach(who, reach, content, name="a.bin", key=None, reason=""):
    upload = SimpleUploadedFile(name, content)
    return enclosing.attach(
        who, **keys(reach), record_id=key or new_id(), upload=upload, reason=reason
    )


@pytest.fixture
def clerk():
    return make_clerk()


@pytest.fixture
def demand(signed, clerk):
    return demand_in(request_for(signed, clerk), clerk, title="Recordings and worksheets")


def test_each_goes_out_as_it_can_and_is_listed_with_digest_and_length(
    demand, clerk, tmp_path, monkeypatch
):
    monkeypatch.setattr(reading, "pages_of", lambda content: 2)
    paper = reaching(demand, clerk, "other", words="Worksheets")
    view = reaching(demand, clerk, "other", words="Whiteboard")
    sound = reaching(demand, clerk, "recording")
    slides = reaching(demand, clerk, "other", words="Slides")
    decide(demand, clerk, "release")
    lacks = ready.why_not_ready(demand.request)
    assert len(lacks) == 4
    assert lacks[0].startswith("Demand 1: no file is attached for “recordings”, decided to go out.")
    attach(clerk, paper, letter_pdf(), "sheets.pdf")
    attach(clerk, view, picture(), "board.jpg")
    kept = attach(clerk, sound, SOUND, "call.wav")
    enclosing.hand_over_apart(
        clerk, **keys(slides), record_id=new_id(),
        entry={"apart_to": "J. Moss", "apart_on": timezone.localdate(), "apart_how": "in a mailer"},
    )  # fmt: skip
    assert len([one for one in ready.why_not_ready(demand.request) if "changed" in one]) == 1
    decide(demand, clerk, "release")
    approve(demand.request, second_person())
    answer = asked_answer(demand.request, clerk, camera_notes=True)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made", answer.failure
    answer.refresh_from_db()
    bag = unpacked(answer, tmp_path)
    assert complaint_of(bag) == ""
    data = bag / "data"
    [wav] = (data / "files").glob("*.wav")
    assert wav.read_bytes() == SOUND
    digest = hashlib.sha256(SOUND).hexdigest()
    listed = (data / "exhibit-list.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(listed.splitlines()))
    row = next(one for one in rows if one[2].endswith(".wav"))
    assert row[7:] == [digest, digest, str(len(SOUND))]
    said = " ".join(page.extract_text() for page in pypdf.PdfReader(data / "answer.pdf").pages)
    assert str(len(SOUND)) in said
    assert "J. Moss" in said
    assert "heard a fall" in said
    parts = {one.label: one for one in queries.parts_of(answer)}
    assert parts["Worksheets"].last - parts["Worksheets"].first == 1
    assert b"Camera of somebody" not in (data / "answer.pdf").read_bytes()
    assert record_address(parts["Worksheets"], 1) == reverse(
        "decisions:demand",
        args=[demand.case_id, demand.request_id, demand.pk],
    )
    assert kept.file.media_type == "audio/wav"


def test_without_the_cameras_notes_a_picture_goes_out_as_its_page_alone(demand, clerk, tmp_path):
    view = reaching(demand, clerk, "other", words="Whiteboard")
    attach(clerk, view, picture(), "board.jpg")
    decide(demand, clerk, "release")
    approve(demand.request, second_person())
    answer = asked_answer(demand.request, clerk, camera_notes=False)
    folder, parts = tmp_path / "bag", tmp_path / "parts"
    folder.mkdir()
    parts.mkdir()
    made = contents.gather(answer, ready.ready_items(demand.request), folder=folder, parts=parts)
    assert [one.title for one in made.documents] == ["Whiteboard"]
    assert (made.files, made.enclosed) == ([], [])


def test_who_attaches_once_more_says_why_and_the_same_key_is_the_same_file(demand, clerk, client):
    reach = reaching(demand, clerk, "other", words="Worksheets")
    key = new_id()
    first = attach(clerk, reach, SOUND, key=key)
    assert attach(clerk, reach, SOUND, key=key).pk == first.pk
    with pytest.raises(Conflict):
        attach(clerk, reach, SOUND + b"x", key=key)
    with pytest.raises(Refused, match="attached already"):
        attach(clerk, reach, SOUND)
    with pytest.raises(Refused, match="empty"):
        attach(clerk, reach, b"")
    with pytest.raises(Refused, match="Say why"):
        attach(clerk, reach, SOUND + b"y")
    with pytest.raises(NotAllowed):
        attach(demand.request.case.created_by, reach, SOUND + b"y", reason="So.")
    second = attach(clerk, reach, SOUND + b"y", reason="The whole of it.")
    first.refresh_from_db()
    assert (first.void_reason, second.is_voided) == ("The whole of it.", False)
    client.force_login(clerk)
    at = [demand.case_id, demand.request_id]
    page = client.get(reverse("decisions:demand", args=[*at, demand.pk])).content.decode()
    assert "Attach another file" in page
    file = client.get(reverse("decisions:enclosed-file", args=[*at, second.pk]))
    assert b"".join(file.streaming_content) == SOUND + b"y"
    form = reverse("decisions:enclose", args=[*at, reach.pk])
    assert client.get(form).status_code == 200
    sent = {"record_id": new_id(), "reason": "Once more.",
            "upload": SimpleUploadedFile("z.wav", SOUND + b"z")}  # fmt: skip
    without = client.post(form, {**sent, "reason": "", "record_id": new_id()}).content.decode()
    assert "Choose the file again" in without
    sent["upload"] = SimpleUploadedFile("z.wav", SOUND + b"z")
    assert client.post(form, sent).status_code == 302
    approving = client.get(reverse("decisions:approve", args=at)).content.decode()
    file = Enclosure.objects.get(reach=reach, voided_at=None)
    assert reverse("decisions:enclosed-file", args=[*at, file.pk]) in approving
    apart = reverse("decisions:apart", args=[*at, reach.pk])
    assert client.post(apart, {"record_id": new_id(), "reason": "Too long."}).status_code == 422
    said = {"record_id": new_id(), "reason": "Too long.", "apart_to": "J. Moss",
            "apart_on": f"{timezone.localdate():%Y-%m-%d}"}  # fmt: skip
    assert client.post(apart, said).status_code == 302
    stands = Enclosure.objects.get(reach=reach, voided_at=None)
    assert (stands.file, stands.apart_to) == (None, "J. Moss")
    away = reverse("decisions:take-away", args=[*at, stands.pk])
    assert client.get(away).status_code == 200
    assert client.post(away, {"version": 1, "reason": "Not handed."}).status_code == 302
    assert not Enclosure.objects.active().filter(reach=reach).exists()


def apart(who, reach):
    said = {"apart_to": "J. Moss", "apart_on": timezone.localdate()}
    return enclosing.hand_over_apart(
        who, **keys(reach), record_id=new_id(), entry=said, reason="Too long."
    )


def take_away(who, one, version=1):
    return enclosing.withdraw_enclosure(
        who, case_id=one.request.case_id, request_id=one.request_id, record_id=one.pk,
        version=version, reason="Not ours.",
    )  # fmt: skip


def test_what_is_enclosed_ends_the_approval_and_stands_once_the_request_is_closed(demand, clerk):
    asked, boss, key = demand.request, second_person(), new_id()
    reach = reaching(demand, clerk, "other", words="Worksheets")
    other = reaching(demand, clerk, "other", words="Slides")
    kept = attach(clerk, reach, SOUND, key=key)
    with pytest.raises(Conflict):
        attach(clerk, other, SOUND, key=key)
    attach(clerk, other, SOUND)

    def approved():
        decide(demand, clerk, "release", reason="Read again.")
        approve(asked, boss)
        return standing_of(asked).is_approved

    for change in (
        lambda: attach(clerk, reach, SOUND + b"x", reason="The whole of it."),
        lambda: apart(clerk, reach),
        lambda: take_away(clerk, Enclosure.objects.active().get(reach=other)),
    ):
        assert approved()
        change()
        assert not Approval.objects.active().filter(request=asked).exists()
        if not Enclosure.objects.active().filter(reach=other).exists():
            kept = attach(clerk, other, SOUND)
    with pytest.raises(StaleRecord):
        take_away(clerk, kept, version=2)
    with pytest.raises(NotAllowed):
        take_away(asked.case.created_by, kept)
    asked.refresh_from_db()
    withdraw_request(
        clerk, case_id=asked.case_id, request_id=asked.pk, version=asked.version, reason="Quashed."
    )
    for late in (lambda: take_away(clerk, kept), lambda: apart(clerk, reach),
                 lambda: attach(clerk, reach, SOUND + b"z", reason="Late.")):  # fmt: skip
        with pytest.raises(Refused, match="nothing more is decided"):
            late()


def test_of_a_further_case_that_was_closed_nothing_is_enclosed_or_taken_away(
    demand, clerk, monkeypatch
):
    further = make_case()
    RequestCase.objects.create(
        case=further, request=demand.request, created_by=clerk, changed_by=clerk
    )
    reach = reaching(demand, clerk, "other", words="Slides", of_case=further.pk)
    kept = attach(clerk, reach, SOUND)
    assert kept.case_id == further.pk
    Case.objects.filter(pk=further.pk).update(restricted=True)
    files = StoredFile.objects.count()
    for late in (lambda: take_away(clerk, kept), lambda: apart(clerk, reach),
                 lambda: attach(clerk, reach, SOUND + b"z", reason="Late.")):  # fmt: skip
        with pytest.raises((NotKnown, NotAllowed)):
            late()
    assert StoredFile.objects.count() == files
    monkeypatch.setattr(enclosing.store, "receive", None)
    monkeypatch.setattr(enclosing, "kind_of", None)
    with pytest.raises((NotKnown, NotAllowed)):
        attach(clerk, reach, SOUND + b"z", reason="Not a byte is read.")
    kept.refresh_from_db()
    assert not kept.is_voided


def test_what_is_kept_back_of_it_is_not_in_the_packet(demand, clerk, tmp_path):
    reach = reaching(demand, clerk, "recording", words="Call of a neighbor")
    attach(clerk, reach, SOUND)
    decide(demand, clerk, "withhold", ground=ground_numbered(3, clerk).pk)
    [one] = ready.ready_items(demand.request)
    assert (one.goes_out, one.copy_digest) == (False, "")
