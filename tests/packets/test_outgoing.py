"""What of a photograph leaves the office: original, redacted or without metadata; its drawings.

Exif tag 0x8825 (GPS) and its members are numbered as in Exif 2.3 (CIPA DC-008); GPS in a JPEG is
found here by Pillow, which knows nothing of the office.
"""

from __future__ import annotations

import csv
import hashlib
import json
from copy import deepcopy
from types import SimpleNamespace
from uuid import uuid4
from xml.etree import ElementTree

import pikepdf
import pytest
from PIL import Image

from cases.exhibits import redacting
from cases.exhibits.models import Redaction, RedactionRequest
from cases.packets import tasks
from cases.packets.models import Packet
from cases.packets.outgoing import outgoing_photographs
from cases.packets.rules import ReleasedAs, photograph_name, released_as
from evidence import store
from evidence.imaging import bare
from evidence.measuring import actions as measuring
from evidence.measuring.overlays import overlay_svg
from evidence.photographs import actions as evidence
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import upright_size
from evidence.photographs.tasks import derive_images
from findings.body.marks import CLASSES
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.builders import taken_back
from tests.evidence.pictures import picture_bytes
from tests.exhibits.builders import make_redaction
from tests.measuring.pictures import SIZE, straight
from tests.packets.builders import (
    altered,
    examined_case,
    make_clerk,
    make_packet,
    make_people,
    make_request,
    packet_for,
    sign,
)
from tests.packets.reading import (
    complaint_of,
    pictures_in,
    squeezed,
    structure_of,
    text_of,
    unpacked,
)

pytestmark = pytest.mark.django_db
SVG = "{http://www.w3.org/2000/svg}"
CORNERS = [[0.2, 0.2], [0.6, 0.2], [0.4, 0.7]]
COVER = {"shape": "rectangle", "manner": "cover", "points": [[100, 100], [500, 500]]}


def with_place(shade: int) -> bytes:
    """A picture whose Exif names the place and the camera."""
    exif = Image.Exif()
    exif[0x010F] = "Plain Camera Works"
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 30.0, 15.0), 3: "W", 4: (110.0, 2.0, 9.0)})
    return picture_bytes(shade, size=SIZE, exif=exif.tobytes())


def outlined_measured_and_redacted():
    """A signed case: photograph 1 outlined and measured, photograph 2 redacted."""
    vasko, thorne = make_people()
    made = examined_case(vasko, pictures=[with_place(1), with_place(2)])
    first, second = Photograph.objects.filter(case=made).order_by("number")
    for one in (first, second):
        derive_images(photograph_id=str(one.pk))
    link = first.finding_links.get()
    evidence.outline_finding(
        vasko, case_id=made.pk, link_id=link.pk, version=link.version, entry={"outline": CORNERS}
    )
    measuring.measure_photograph(
        vasko, case_id=made.pk, record_id=new_id(), photograph_id=first.pk,
        entry={**straight(), "finding_id": link.finding_id, "note": "widest part"},
    )  # fmt: skip
    sign(made, vasko, thorne)
    make_redaction(make_clerk(name="Q. Hale"), second, COVER, reason="Face of a bystander")
    return made


@pytest.fixture(scope="module")
def _case_once(made_once):
    return made_once(outlined_measured_and_redacted)


@pytest.fixture
def case(db, _case_once):
    return deepcopy(_case_once)


@pytest.fixture(scope="module")
def sent(made_once, _case_once, tmp_path_factory):
    """What goes out of the case when nothing is chosen: built once, changed by no test."""

    def build():
        # No test meets its row, but for what it reads from it here.
        with taken_back():
            return built(_case_once, tmp_path_factory.mktemp("sent"))

    return made_once(build)


def built(case, tmp_path, **fields):
    """Build a packet as the worker does, and unpack it: (packet, the bag's data)."""
    clerk = make_clerk()
    packet = packet_for(case, clerk, **fields)
    assert tasks.build_packet(request_id=str(packet.pk)) == "made", Packet.objects.get().failure
    bag = unpacked(packet := Packet.objects.get(pk=packet.pk), tmp_path)
    assert complaint_of(bag) == ""
    return packet, bag / "data"


def rows_of(path):
    with path.open(newline="") as file:
        return list(csv.DictReader(file))


def test_where_a_redacted_copy_stands_the_original_stays_in_the_office(case, sent):
    packet, data = sent
    second = Photograph.objects.get(case=case, number=2)
    copy = Redaction.objects.get().file
    assert (packet.photographs, packet.redacted) == (2, 1)
    digests = {hashlib.sha256(p.read_bytes()).hexdigest() for p in data.rglob("*") if p.is_file()}
    assert second.file.sha256 not in digests
    assert copy.sha256 in digests
    first, row = rows_of(data / "photograph-log.csv")
    assert (first["Sent as"], first["SHA-256 of what is sent"]) == ("original", first["SHA-256"])
    assert (row["Sent as"], row["Why"]) == ("redacted copy", "Face of a bystander")
    assert row["SHA-256"] == second.file.sha256
    assert row["SHA-256 of what is sent"] == copy.sha256
    assert row["File"] == f"photographs/P-002-redacted-{copy.sha256[:12]}.jpg"
    (told,) = json.loads((data / "redactions.json").read_text())
    assert (told["by"], told["original_sha256"]) == ("Q. Hale", second.file.sha256)
    assert rows_of(data / "redactions.csv")[0]["Why"] == "Face of a bystander"
    assert "Photograph 2 is a redacted copy; its original is not" in (
        (data / "README.txt").read_text()
    )


def test_the_report_prints_the_redacted_copy_and_says_so(sent):
    _, data = sent
    with pikepdf.open(data / "report.pdf") as pdf:
        shown = pictures_in(pdf)
        words = squeezed(text_of(pdf))
    dark = [picture.getpixel((300, 300)) for picture in shown if picture.width == SIZE[0]]
    assert sorted(sum(pixel) < 120 for pixel in dark) == [False, True]
    assert squeezed("Redacted copy; the original stays with the office.") in words
    assert squeezed("Redacted copies") in words
    assert squeezed("Face of a bystander") in words


def test_a_clerk_sends_the_original_by_name_and_with_a_reason(case, tmp_path):
    second = Photograph.objects.get(case=case, number=2)
    first = Photograph.objects.get(case=case, number=1)
    clerk = make_clerk()
    asked = make_request(case, clerk)
    with pytest.raises(Refused, match="Say why") as refused:
        make_packet(asked, clerk, originals=[second.pk])
    assert refused.value.field == "originals_why"
    with pytest.raises(Refused, match="has no redacted copy"):
        make_packet(asked, clerk, originals=[first.pk], originals_why="Order of 3 May")
    packet, data = built(
        case, tmp_path, originals=[second.pk], originals_why="Court's order of 3 May"
    )
    assert (packet.redacted, packet.originals_why) == (0, "Court's order of 3 May")
    _, row = rows_of(data / "photograph-log.csv")
    assert row["Sent as"] == "original"
    assert row["Why"].endswith("not sent, because: Court's order of 3 May")
    assert (data / row["File"]).read_bytes() == b"".join(store.original_chunks(second.file))
    assert not (data / "redactions.csv").exists()


def test_copies_without_the_cameras_notes_name_no_place(case, tmp_path):
    packet, data = built(case, tmp_path, camera_notes=False)
    assert packet.photographs == 2
    for path in (data / "photographs").iterdir():
        with Image.open(path) as copy:
            assert (copy.size, dict(copy.getexif())) == (SIZE, {})
        assert b"Plain Camera Works" not in path.read_bytes()
    first, second = rows_of(data / "photograph-log.csv")
    assert first["Sent as"] == "copy without metadata"
    assert (first["How made"], second["How made"]) == (bare.AS_IT_WAS, "")
    original = b"".join(store.original_chunks(Photograph.objects.get(case=case, number=1).file))
    scan = original[original.index(b"\xff\xda") :]
    assert (data / first["File"]).read_bytes().endswith(scan)
    assert first["SHA-256"] != first["SHA-256 of what is sent"]
    assert second["Sent as"] == "redacted copy"
    assert "Plain Camera Works" not in (data / "history.json").read_text()
    assert "without what the camera wrote" in (data / "README.txt").read_text()


def test_originals_keep_what_the_camera_wrote_and_printed_pictures_do_not(sent):
    _, data = sent
    (original,) = (data / "photographs").glob("P-001-*.jpg")
    with Image.open(original) as picture:
        assert picture.getexif().get_ifd(0x8825)[1] == "N"
    assert "Plain Camera Works" in (data / "history.json").read_text()
    assert b"Plain Camera Works" not in (data / "report.pdf").read_bytes()


def test_outlines_and_measured_lines_lie_over_the_printed_picture(sent):
    _, data = sent
    with pikepdf.open(data / "report.pdf") as pdf:
        words = [str(one.Alt) for one in structure_of(pdf) if one.S == "/Figure"]
        said = squeezed(text_of(pdf))
    drawn = next(one for one in words if one.startswith("Outlined"))
    assert drawn.startswith(
        "Outlined: finding 1 contusion. Measured: M1 3.0 cm (2.6 to 3.4) at tilt"
    )
    assert drawn.endswith("in the plane of the scale.")
    assert squeezed("Measurements on photographs") in said
    drawing = ElementTree.parse(data / "outlines" / "P-001.svg").getroot()
    assert drawing.get("viewBox") == f"0 0 {SIZE[0]} {SIZE[1]}"
    assert [text.text for text in drawing.iter(f"{SVG}text")] == ["1", "M1"]
    assert not (data / "outlines" / "P-002.svg").exists()
    (row, _) = json.loads((data / "photograph-log.json").read_text())["photographs"]
    assert row["outlines"] == [{"finding": 1, "points": CORNERS}]


def test_measurements_say_method_scale_interval_and_plane(case, sent):
    _, data = sent
    (row,) = rows_of(data / "measurements.csv")
    assert (row["Photograph"], row["Measurement"], row["Finding"]) == ("1", "1", "1")
    assert (row["Value"], row["Unit"], row["Plane"]) == (
        "30.000",
        "mm",
        "in the plane of the scale",
    )
    assert float(row["Low"]) < 30 < float(row["High"])
    assert row["Scale"] == "straight, two points 50 mm apart"
    assert row["Interval"].startswith("limits, not 95 %: every tilt of the camera up to 5 degrees")
    assert "a camera tilted up to 5 degrees" in row["Covered by the interval"]
    assert "curved skin" in row["Left out of the interval"]
    assert row["Method"]
    (value,) = json.loads((data / "measurements.json").read_text())
    assert value["inputs"]["photograph_sha256"] == Photograph.objects.get(
        case=case, number=1
    ).file.sha256  # fmt: skip
    assert value["note"] == "widest part"


def test_an_overlay_has_the_picture_and_the_class_of_the_chart(case):
    photograph = Photograph.objects.get(case=case, number=1)
    links = list(photograph.finding_links.select_related("finding"))
    drawing = ElementTree.fromstring(overlay_svg(photograph, links))
    width, height = upright_size(photograph)
    paths = [path.get("d") for path in drawing.iter(f"{SVG}path") if path.get("stroke")]
    first = f"M{CORNERS[0][0] * width:g} {CORNERS[0][1] * height:g}"
    assert any(path.startswith(first) for path in paths if path)
    hues = {path.get("stroke") for path in drawing.iter(f"{SVG}path")}
    assert CLASSES["injury"].hue in hues
    assert overlay_svg(photograph, []) == ""


def test_the_form_offers_redacted_photographs_and_keeps_the_choice(client, case):
    clerk = make_clerk()
    asked = make_request(case, clerk)
    client.force_login(clerk)
    page = f"/cases/{case.pk}/packets/"
    assert "Photograph 2: Face of a bystander" in client.get(page).content.decode()
    second = Photograph.objects.get(case=case, number=2)
    form = {
        "asked": str(asked.pk), "with_photographs": "on", "photograph_form": "copies",
        "originals": [str(second.pk)], "record_id": str(new_id()),
    }  # fmt: skip
    wrong = client.post(page, form)
    assert wrong.status_code == 422
    assert wrong.context["form"].errors["originals_why"] == ["Say why the originals go out."]
    assert client.post(page, {**form, "originals_why": "Consent of the kin"}).status_code == 302
    packet = Packet.objects.get()
    assert (packet.camera_notes, packet.originals) == (False, [str(second.pk)])
    assert "Consent of the kin" in packet.originals_why


def test_a_form_is_decided_without_the_database():
    base = {"with_photographs": True, "camera_notes": True, "redacted": False}
    assert released_as(**base, original_wanted=False) is ReleasedAs.ORIGINAL
    assert released_as(**{**base, "redacted": True}, original_wanted=False) is ReleasedAs.REDACTED
    assert released_as(**{**base, "redacted": True}, original_wanted=True) is ReleasedAs.ORIGINAL
    assert released_as(**{**base, "camera_notes": False}, original_wanted=False) is ReleasedAs.COPY
    assert (
        released_as(**{**base, "with_photographs": False}, original_wanted=True)
        is ReleasedAs.NOT_SENT
    )
    assert photograph_name(7, "ab" * 32, "jpg", ReleasedAs.COPY) == "P-007-copy-abababababab.jpg"


@pytest.mark.parametrize("named", [[], [1], [2], [1, 3], [1, 2, 3]])
@pytest.mark.parametrize("camera_notes", [True, False])
def test_only_the_originals_that_are_named_go_out_in_the_clear(named, camera_notes):
    keys = {number: uuid4() for number in (1, 2, 3, 4)}
    material = SimpleNamespace(
        photographs=[SimpleNamespace(photograph=SimpleNamespace(pk=keys[n])) for n in keys],
        redactions={keys[n]: SimpleNamespace(why=f"Face {n}") for n in (1, 2, 3)},
    )
    sent = outgoing_photographs(
        material, camera_notes=camera_notes, originals=[str(keys[n]) for n in named],
        originals_why="Order of 3 May",
    )  # fmt: skip
    clear = ReleasedAs.ORIGINAL if camera_notes else ReleasedAs.COPY
    expected = [ReleasedAs.REDACTED if n in {1, 2, 3} - set(named) else clear for n in keys]
    assert [each.form for each in sent] == expected
    for number, each in enumerate(sent, start=1):
        if each.form is ReleasedAs.REDACTED:
            assert each.why == f"Face {number}"
        elif number in named:
            assert each.why.endswith("not sent, because: Order of 3 May")
        else:
            assert each.why == ""


def test_an_altered_original_gives_no_copy_without_the_cameras_notes(case):
    stored = Photograph.objects.get(case=case, number=1).file
    clerk = make_clerk()
    packet = packet_for(case, clerk, camera_notes=False)
    # It can still be opened, and a copy of it could be made.
    with altered(stored):
        assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert "photograph 1 no longer has its digest" in packet.failure
    assert (packet.path, packet.sha256) == ("", "")


def test_a_camera_picture_that_cannot_be_copied_is_said(case, monkeypatch):
    def broken(*_):
        raise OSError("unreadable")

    monkeypatch.setattr("evidence.imaging.bare.copy_without_metadata", broken)
    clerk = make_clerk()
    packet = packet_for(case, clerk, camera_notes=False)
    assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert "photograph 1" in packet.failure


def test_nothing_is_sent_while_something_is_still_to_be_hidden(case):
    first, clerk = Photograph.objects.get(case=case, number=1), make_clerk()
    asked = redacting.ask(
        clerk, case_id=case.pk, photograph_id=first.pk, record_id=new_id(), version=0,
        entries=[COVER], reason="Face",
    )  # fmt: skip
    request = make_request(case, clerk)
    with pytest.raises(Refused, match="photograph 1 is being made"):
        make_packet(request, clerk)
    RedactionRequest.objects.filter(pk=asked.pk).update(state="failed", failure="Broken")
    with pytest.raises(Refused, match="could not be made"):
        make_packet(request, clerk)
    assert make_packet(request, clerk, with_photographs=False).number == 1


def test_what_is_asked_to_be_hidden_after_the_packet_stops_its_making(case):
    clerk = make_clerk()
    packet = packet_for(case, clerk)
    first = Photograph.objects.get(case=case, number=1)
    redacting.ask(
        clerk, case_id=case.pk, photograph_id=first.pk, record_id=new_id(), version=0,
        entries=[COVER], reason="Face",
    )  # fmt: skip
    assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert "photograph 1 is being made" in packet.failure
