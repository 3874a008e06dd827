"""A built packet, read back from outside: a valid bag (RFC 8493) whose digests hold.

RFC 8493: Kunze, Littman, Madden, Scancella, Adams, "The BagIt File Packaging Format (V1.0)",
2018. Checked with its reference implementation, the Library of Congress's `bagit` for Python.
"""

from __future__ import annotations

import csv
import hashlib
import json
import re

import pytest
from django.core.files.storage import default_storage

from cases.appearances.actions import void_appearance
from cases.packets import bag as bag_module
from cases.packets import tasks
from cases.packets.actions import retry_packet
from cases.packets.curricula import may_be_sent
from cases.packets.models import Packet
from cases.qualifications.printing import print_curriculum
from cases.review.models import ReportDraft
from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused
from tests.appearances.builders import appear
from tests.builders import make_staff
from tests.evidence.pictures import picture_bytes, take_away
from tests.packets.builders import (
    altered,
    amend,
    examined_case,
    make_clerk,
    make_people,
    packet_for,
    sign,
    signed_case,
)
from tests.packets.reading import complaint_of, manifest, unpacked
from tests.qualifications.test_curricula import add_line, issue

pytestmark = pytest.mark.django_db

# What programs that read packets look for: a name that was given stays.
LOG_NAMES = [
    "number", "file", "sent_as", "why", "made", "sha256", "sent_sha256", "sent_bytes", "bytes",
    "type", "original_name", "taken_at", "photographer", "place", "view", "with_scale", "region",
    "shows", "findings", "outlines",
]  # fmt: skip


PICTURES = [picture_bytes(7), picture_bytes(8, kind="PNG"), picture_bytes(9)]


@pytest.fixture(scope="module")
def _signed_once(made_once):
    """The file's signed case: three photographs of two kinds."""
    return made_once(lambda: signed_case(pictures=PICTURES))


@pytest.fixture
def bag(packet, tmp_path):
    """The packet, unpacked for one test."""
    return unpacked(packet, tmp_path / "bag")


def built(case, **fields):
    """Build a packet as the worker does."""
    clerk = make_clerk()
    packet = packet_for(case, clerk, **fields)
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    return Packet.objects.get(pk=packet.pk)


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_the_packet_is_a_valid_bag_and_every_digest_holds(bag):
    assert complaint_of(bag) == ""
    listed = manifest(bag / "manifest-sha256.txt")
    payload = {
        path.relative_to(bag).as_posix(): digest(path)
        for path in (bag / "data").rglob("*")
        if path.is_file()
    }
    assert listed == payload
    tags = manifest(bag / "tagmanifest-sha256.txt")
    assert tags == {name: digest(bag / name) for name in tags}
    assert set(tags) == {"bag-info.txt", "bagit.txt", "manifest-sha256.txt"}
    # RFC 8493, section 2.1.1: the two lines of the bag declaration.
    assert (bag / "bagit.txt").read_text().splitlines() == [
        "BagIt-Version: 1.0", "Tag-File-Character-Encoding: UTF-8",
    ]  # fmt: skip
    # The format that `sha256sum -c` of GNU coreutils reads: digest, two spaces, name.
    for name in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        for line in (bag / name).read_text().splitlines():
            assert re.fullmatch(r"[0-9a-f]{64}  \S.*", line)


def test_one_changed_byte_an_added_and_a_missing_file_are_found(bag):
    log = bag / "data" / "custody.csv"
    whole = log.read_bytes()
    changed = bytearray(whole)
    changed[10] ^= 1
    log.write_bytes(changed)
    assert "data/custody.csv" in complaint_of(bag)
    log.write_bytes(whole)
    assert complaint_of(bag) == ""
    (bag / "data" / "slipped-in.txt").write_text("not listed")
    assert complaint_of(bag)
    (bag / "data" / "slipped-in.txt").unlink()
    next((bag / "data" / "photographs").iterdir()).unlink()
    assert complaint_of(bag)


def test_the_bag_says_whose_it_is(packet, bag, settings):
    said = dict(line.split(": ", 1) for line in (bag / "bag-info.txt").read_text().splitlines())
    payload = [path for path in (bag / "data").rglob("*") if path.is_file()]
    size = sum(path.stat().st_size for path in payload)
    assert said["Source-Organization"] == settings.OFFICE_NAME
    assert said["External-Identifier"] == packet.case.label
    assert said["Contact-Name"] == "R. Ostrander"
    # RFC 8493, section 2.2.2: octets and number of payload files, joined by a point.
    assert said["Payload-Oxum"] == f"{size}.{len(payload)}"
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", said["Bagging-Date"])


def test_the_originals_are_in_it_byte_for_byte(packet, bag):
    folder = bag / "data" / "photographs"
    assert [path.read_bytes() for path in sorted(folder.iterdir())] == PICTURES
    names = [path.name for path in sorted(folder.iterdir())]
    digests = [hashlib.sha256(content).hexdigest()[:12] for content in PICTURES]
    assert names == [
        f"P-001-{digests[0]}.jpg", f"P-002-{digests[1]}.png", f"P-003-{digests[2]}.jpg",
    ]  # fmt: skip
    assert packet.photographs == 3


def test_the_row_holds_the_digest_and_size_of_the_file(packet):
    with default_storage.open(packet.path) as file:
        content = file.read()
    assert hashlib.sha256(content).hexdigest() == packet.sha256
    assert len(content) == packet.size_bytes
    assert packet.path == f"packets/{packet.pk.hex[-2:]}/{packet.pk}.zip"


def test_the_signed_text_is_there_under_the_digest_that_was_signed(packet, bag):
    data = bag / "data"
    draft = ReportDraft.objects.get(case=packet.case)
    assert digest(data / "report.json") == draft.sha256
    assert json.loads((data / "report.json").read_text()) == draft.content
    assert draft.sha256 in (data / "README.txt").read_text()


def test_logs_say_what_the_case_file_says(packet, bag):
    data = bag / "data"
    with (data / "photograph-log.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    photographs = list(Photograph.objects.filter(case=packet.case).select_related("file"))
    assert [row["SHA-256"] for row in rows] == [one.file.sha256 for one in photographs]
    assert rows[0]["Findings"] == "1"
    assert rows[0]["Scale"] == "with scale"
    assert (data / rows[0]["File"]).is_file()
    log = json.loads((data / "photograph-log.json").read_text())
    assert log["photographs"][0]["shows"] == "Chest from the front, 1"
    assert list(log["photographs"][0]) == LOG_NAMES
    custody = json.loads((data / "custody.json").read_text())
    assert [item["kind"] for item in custody] == ["photograph"] * 3 + ["specimen"]
    assert all(item["unbroken"] for item in custody)
    with (data / "custody.csv").open(newline="") as file:
        moves = [row for row in csv.DictReader(file) if row["What"] == "transfer"]
    assert moves[-1]["To"] == "Refrigerator 2"
    assert {path.name for path in (data / "body-chart").iterdir()} == {
        "anterior.svg", "posterior.svg",
    }  # fmt: skip


def test_a_withdrawn_photograph_stays_out_but_its_number_is_accounted_for(tmp_path):
    vasko, thorne = make_people()
    case = examined_case(vasko)
    second = Photograph.objects.get(case=case, number=2)
    take_away(vasko, second, "wrong case")
    data = unpacked(built(sign(case, vasko, thorne)), tmp_path) / "data"
    assert len(list((data / "photographs").iterdir())) == 1
    log = json.loads((data / "photograph-log.json").read_text())
    assert [(row["number"], row["reason"]) for row in log["withdrawn"]] == [(2, "wrong case")]


def test_history_and_photographs_are_left_out_when_not_asked_for(signed, tmp_path):
    packet = built(signed, with_history=False, with_photographs=False)
    data = unpacked(packet, tmp_path) / "data"
    assert not (data / "history.json").exists()
    assert not (data / "photographs").exists()
    assert packet.photographs == 0
    readme = (data / "README.txt").read_text()
    assert "The photographs themselves are not in this packet" in readme
    assert "history.json" not in readme


def test_the_history_tells_every_change_without_addresses(bag):
    history = json.loads((bag / "data" / "history.json").read_text())
    assert {"sign_off", "add_photograph", "record_finding"} <= {event["act"] for event in history}
    assert all(set(event) & {"address", "request_id"} == set() for event in history)
    assert [event["number"] for event in history] == sorted(event["number"] for event in history)


def test_addenda_and_amendments_travel_along(signed, tmp_path):
    amend(
        signed,
        make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="M. Thorne"),
        amends="He died of the injuries",
        text="He died of the injuries and of bleeding.",
        why="Laboratory report",
    )
    data = unpacked(built(signed), tmp_path) / "data"
    words = (data / "addenda" / "amendment-01.txt").read_text()
    assert "In place of: He died of the injuries" in words
    assert "Reason: Laboratory report" in words


def test_an_original_that_changed_in_the_store_stops_the_packet(signed):
    stored = Photograph.objects.get(case=signed, number=2).file
    clerk = make_clerk()
    packet = packet_for(signed, clerk)
    with altered(stored):
        assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
        packet.refresh_from_db()
        assert "photograph 2 no longer has its digest" in packet.failure
        assert (packet.state, packet.path) == ("failed", "")
        default_storage.delete(stored.path)
        retry_packet(clerk, case_id=signed.pk, packet_id=packet.pk, version=packet.version)
        assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert "missing from the store" in packet.failure


def test_what_breaks_unforeseen_is_said_without_case_content(signed, monkeypatch, caplog):
    assert signed.decedent.family_name == "Hallstead"
    packet = packet_for(signed, make_clerk())

    def breaks(*_, **__):
        raise OSError("No space left on device")

    monkeypatch.setattr(bag_module, "write_zip", breaks)
    assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert packet.failure.startswith("Something went wrong")
    assert str(packet.pk) in caplog.text
    assert "Hallstead" not in caplog.text


def test_running_the_job_again_changes_nothing(packet):
    assert tasks.build_packet(request_id=str(packet.pk)) == "nothing to do"
    again = Packet.objects.get(pk=packet.pk)
    assert (again.version, again.sha256) == (packet.version, packet.sha256)


def test_packing_the_same_bag_twice_gives_the_same_bytes(packet, bag, tmp_path):
    for name in ("a.zip", "b.zip"):
        bag_module.write_zip(bag, tmp_path / name, name=bag.name, at=packet.built_at)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_a_curriculum_vitae_goes_out_as_it_was_issued(signed, tmp_path):
    author = signed.report.author
    add_line(author)
    first = issue(author)
    issue(author)
    packet = built(signed, with_photographs=False, curricula=[str(first.pk)])
    there = unpacked(packet, tmp_path) / "data" / "curriculum-vitae"
    [name] = [path.stem for path in there.glob("*.pdf")]
    assert name.endswith("-version-1")
    assert hashlib.sha256((there / f"{name}.json").read_bytes()).hexdigest() == first.sha256
    assert (there / f"{name}.pdf").read_bytes() == print_curriculum(first).pdf
    readme = (there.parent / "README.txt").read_text()
    assert f"{author}, version 1" in readme
    stranger = make_staff(Role.PATHOLOGIST)
    add_line(stranger)
    asked = {"curricula": [str(issue(stranger).pk)]}
    with pytest.raises(Refused) as refused:
        packet_for(signed, make_clerk(), **asked)
    assert refused.value.field == "curricula"
    # Of a witness it may be sent, and of one who was called by mistake it may not.
    called = appear(make_clerk(), signed, stranger)
    assert asked["curricula"][0] in dict(may_be_sent(signed))
    void_appearance(make_clerk(), record_id=called.pk, version=1, reason="another case")
    assert asked["curricula"][0] not in dict(may_be_sent(signed))


def test_a_packet_without_one_says_nothing_of_it(bag):
    assert not (bag / "data" / "curriculum-vitae").exists()
    assert "curriculum" not in (bag / "data" / "README.txt").read_text()
