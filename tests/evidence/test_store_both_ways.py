"""The store's check: rows without a file and files without a row, of every kind that there is."""

from __future__ import annotations

import hashlib
import io
import os
from datetime import timedelta
from pathlib import Path

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db.models import FileField
from django.utils import timezone

from cases.clock.models import ClockChange
from cases.court.models import Invoice, Original, RecordsRequest
from cases.decisions.models import Enclosure
from cases.exhibits.models import ExhibitPdf, ExhibitSet, Redaction
from cases.letters.models import Letter
from cases.packets.models import Packet
from cases.redaction.models import DocumentRedaction, RedactedDocument
from cases.review.models import OutsideReview, SignedPdf
from cases.signatures.models import SignedDocument
from cases.statements.models import Statement
from evidence.fixity import actions, queries, rules
from evidence.fixity.models import FixityProblem
from evidence.measuring.models import DerivedCopy
from evidence.photographs.models import DerivedImage, Photograph
from evidence.store import named
from evidence.store.models import StoredFile
from me_office.audit.models import AuditEvent
from me_office.jobs.rules import JobState
from tests.evidence.pictures import add, picture_bytes
from tests.packets.builders import asked_for

# Models with a column that reads as a file's name or digest and that keep none of their own.
NO_FILES = {
    "fixity.fixityproblem": "names the file that it is about",
}
pytestmark = pytest.mark.django_db


def checked():
    run = actions.begin_run(now=timezone.now())
    while run.finished_at is None:
        run = actions.go_on(run)
    return run


def put(path: str, *, days_old: float = 2) -> str:
    default_storage.save(path, ContentFile(path.encode()))
    then = (timezone.now() - timedelta(days=days_old)).timestamp()
    os.utime(Path(default_storage.path(path)), (then, then))
    return path


def test_every_model_with_a_path_of_a_file_is_read_by_the_check():
    found = {
        model._meta.label_lower
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if field.name == "path" or field.name.endswith("_path") or isinstance(field, FileField)
    }
    assert found - NO_FILES.keys() == {model._meta.label_lower for model in named.kinds()}
    assert found == {"evidence.storedfile", "packets.packet", "answers.answer", *NO_FILES}
    for model in named.kinds():
        columns = {field.name for field in model._meta.concrete_fields}
        assert {*named.COLUMNS, model.file_kept_at} <= columns


@pytest.fixture
def packet(case, clerk):
    """A packet that was built, as far as the store is concerned."""
    content = b"a packet"
    path = default_storage.save("packets/ab/one.zip", ContentFile(content))
    by = {"created_by": clerk, "changed_by": clerk}
    asked = RecordsRequest.objects.create(case=case, **asked_for(), **by)
    return Packet.objects.create(
        case=case, request=asked, number=1, path=path, size_bytes=len(content),
        sha256=hashlib.sha256(content).hexdigest(), built_at=timezone.now() - timedelta(hours=1),
        state=JobState.MADE.value, **by,
    )  # fmt: skip


def test_a_packet_that_is_gone_is_found_and_named_with_its_case(client, packet, renn):
    assert checked().problems == 0
    default_storage.delete(packet.path)
    out = io.StringIO()
    with pytest.raises(CommandError, match="1 file of the store"):
        call_command("check_store", stdout=out)
    assert f"missing: {packet.sha256} ({packet.path})" in out.getvalue()
    [found] = queries.problems(renn)
    assert [(one.record, one.case, one.photograph) for one in found.concerned] == [
        (packet, packet.case, None)
    ]
    client.force_login(renn)
    assert f"Packet 1 of case {packet.case.label}" in client.get("/store/").content.decode()
    where = f"/store/{found.problem.pk}/"
    assert packet.path in client.get(where).content.decode()
    put(packet.path)
    Path(default_storage.path(packet.path)).write_bytes(b"a packet")
    checked()
    assert FixityProblem.objects.get().whole_again_at is not None


def test_an_altered_packet_is_found_and_one_that_is_not_built_is_not_asked_for(packet):
    Path(default_storage.path(packet.path)).write_bytes(b"b packet")
    Packet.objects.create(
        case=packet.case, request=packet.request, number=2, created_by=packet.created_by,
        changed_by=packet.created_by,
    )  # fmt: skip
    assert (checked().files, checked().problems) == (1, 1)
    assert FixityProblem.objects.get().kind == "altered"


def test_files_that_no_row_names_are_named_in_whatever_folder_once_they_are_a_day_old(case, vasko):
    add(vasko, case, picture_bytes(1))
    old = {put("originals/ab/abc"), put("derived/00/x"), put("packets/ff/p.zip"), put("new/y"),
           put("at-the-top")}  # fmt: skip
    put("originals/ab/young", days_old=0.9)
    put("incoming/" + 32 * "a", days_old=9)
    run = checked()
    assert (run.files, run.problems, run.unfinished) == (1, 5, 1)
    assert set(FixityProblem.objects.values_list("path", flat=True)) == old
    problems = FixityProblem.objects.all()
    assert {(one.kind, one.sha256, one.row) for one in problems} == {("unnamed", "", None)}
    out = io.StringIO()
    with pytest.raises(CommandError, match="5 files of the store"):
        call_command("check_store", stdout=out)
    assert "in no record: originals/ab/abc" in out.getvalue()
    assert "1 file of the last day, which no record names yet." in out.getvalue()
    assert "1 unfinished file in incoming/, the oldest since " in out.getvalue()


def test_what_no_record_names_yet_is_not_said_to_be_named(case, vasko):
    add(vasko, case, picture_bytes(1))
    for number, said in enumerate(("a record names each.", "a record names each older one.")):
        for name in range(2 * number):
            put(f"originals/ab/young-{name}", days_old=0.9)
        out = io.StringIO()
        call_command("check_store", stdout=out)
        assert out.getvalue().endswith(f"All are intact, and {said}\n")
    assert "2 files of the last day, which no record names yet." in out.getvalue()


@pytest.mark.parametrize(("seconds", "young"), [(-1, True), (0, False), (1, False)])
def test_a_file_without_a_row_is_unfinished_for_a_day(seconds, young):
    now = timezone.now()
    lain = now - rules.UNFINISHED_FOR - timedelta(seconds=seconds)
    assert rules.is_unfinished(lain, now=now) is young


def test_a_file_that_is_gone_or_got_its_row_is_in_order_again_and_settled_by_somebody(client, renn):
    gone, got = put("originals/ab/gone"), put("originals/cd/got")
    checked()
    default_storage.delete(gone)
    StoredFile.objects.create(sha256="c" * 64, size_bytes=1, media_type="x", path=got)
    checked()
    after = dict(FixityProblem.objects.values_list("path", "whole_again_at"))
    assert after[gone] is not None
    # Its row says another digest, and that is what is said now.
    assert FixityProblem.objects.get(path=got).kind == "altered"
    client.force_login(renn)
    page = client.get("/store/").content.decode()
    assert "Gone, or in a record, when looked for on" in page
    assert AuditEvent.objects.filter(table="evidence_fixityproblem", act="check_store").exists()


def test_looking_through_goes_on_where_it_stopped():
    names = [put(f"originals/{n:02}/x") for n in range(6)] + [put("a-b/x"), put("a/x/y")]
    run, calls = actions.begin_run(now=timezone.now()), 0
    while run.finished_at is None and calls < 99:
        run = actions.go_on(run, seconds=0)
        calls += 1
    assert calls > len(names)
    assert set(FixityProblem.objects.values_list("path", flat=True)) == set(names)
    assert run.problems == len(names)


def test_whatever_rests_on_a_file_is_named_from_the_models(case, vasko, renn):
    """A redacted or derived copy was "used by no photograph"."""
    photograph = add(vasko, case, picture_bytes(2))
    links = {link.model for link in queries.links_to_files()}
    assert links == {
        Photograph, DerivedImage, DerivedCopy, Redaction, SignedPdf, SignedDocument, ExhibitPdf,
        ClockChange, OutsideReview, Statement, DocumentRedaction, RedactedDocument, Letter, Invoice,
        Original, Enclosure,
    }  # fmt: skip
    files = [
        StoredFile.objects.create(
            sha256=letter * 64, size_bytes=1, media_type="image/jpeg", path=f"derived/{letter}"
        )
        for letter in "abcd"
    ]
    by = {"created_by": vasko, "changed_by": vasko}
    Redaction.objects.create(
        case=case, photograph=photograph, regions=[], why="face", parent_sha256="a" * 64,
        operations=[], software="x", file=files[0], screen_file=files[1], **by,
    )  # fmt: skip
    DerivedImage.objects.create(photograph=photograph, kind="thumb", file=files[2], method="x")
    trial = ExhibitSet.objects.create(case=case, title="Trial", **by)
    ExhibitPdf.objects.create(case=case, exhibit_set=trial, file=files[3], **by)
    checked()
    said = {
        found.problem.path: [one.what for one in found.concerned]
        for found in queries.problems(renn)
    }
    assert said == {
        "derived/a": ["the redaction"],
        "derived/b": ["the redaction"],
        "derived/c": ["thumb copy, which can be remade"],
        "derived/d": ["PDF of Trial"],
    }
