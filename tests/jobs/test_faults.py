"""Each kind of job meets each fault: nothing half done, said in words, whole when it has passed."""

from __future__ import annotations

import errno
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage

from cases.answers import tasks as answer_tasks
from cases.exhibits import actions as exhibits
from cases.exhibits import redacting
from cases.exhibits import tasks as redaction_tasks
from cases.packets import tasks as packet_tasks
from cases.redaction import reading
from cases.redaction import tasks as document_tasks
from cases.review.models import SignedPdf
from evidence.measuring import actions as measuring
from evidence.measuring import tasks as copy_tasks
from evidence.photographs import tasks as evidence_tasks
from evidence.photographs import tile_tasks
from evidence.store import is_whole
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.jobs import queries, running, sending
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS
from me_office.upkeep.metrics.figures import job_kinds
from tests.answers.builders import asked_of_open_case
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes
from tests.exhibits.builders import FACE, make_exhibit, make_photograph, make_set
from tests.measuring.pictures import measured, photograph_with_scale
from tests.packets.builders import make_clerk, packet_for, signed_case
from tests.redaction.builders import add_document, answered_here, ask_for_copy, hide, make_reason

pytestmark = pytest.mark.django_db


def _photograph() -> Any:
    return add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes())


def _copy() -> Any:
    by = make_staff(Role.PATHOLOGIST)
    photograph = photograph_with_scale(by, make_case(by=by))
    return measuring.request_copy(
        by, case_id=photograph.case_id, photograph_id=photograph.pk, record_id=new_id(),
        measurement_id=measured(by, photograph).pk, kind="marked",
    )  # fmt: skip


def _redaction() -> Any:
    by = make_staff(Role.PATHOLOGIST)
    photograph = make_photograph(by, make_case(by=by))
    return redacting.ask(
        by, case_id=photograph.case_id, photograph_id=photograph.pk, record_id=new_id(), version=0,
        entries=[FACE], reason="Face",
    )  # fmt: skip


def _exhibit_pdf() -> Any:
    by = make_staff(Role.PATHOLOGIST)
    case = make_case(by=by)
    trial = make_set(by, case)
    make_exhibit(by, trial, make_photograph(by, case))
    return exhibits.request_exhibit_pdf(by, case_id=case.pk, set_id=trial.pk, record_id=new_id())


def _packet() -> Any:
    clerk = make_clerk()
    return packet_for(signed_case(), clerk)


def _answer() -> Any:
    return asked_of_open_case(make_clerk())


def _redacted_document() -> Any:
    clerk = make_clerk()
    letter = add_document(clerk, make_case())
    hide(clerk, letter, "Marla", make_reason(clerk))
    return ask_for_copy(clerk, letter)


@dataclass(frozen=True)
class Kind:
    """One kind of job: what it needs, the job, and where its last bytes are written."""

    ask: Callable[[], Any]
    job: Callable[..., str]
    named: str
    writes: str = "evidence.store.receive"
    resume: Callable[[], int] | None = None

    def run(self, asked: Any) -> str:
        """Do the job as a worker does."""
        how = self.job(**{self.named: str(asked.pk)})
        asked.refresh_from_db()
        return how


OWN_WORK = {
    "preview": Kind(_photograph, evidence_tasks.derive_images, "photograph_id"),
    "tiles": Kind(_photograph, tile_tasks.derive_tiles, "photograph_id"),
}
ASKED_FOR = {
    "copy": Kind(_copy, copy_tasks.make_copy, "request_id", resume=copy_tasks.resume_copies),
    "redaction": Kind(
        _redaction, redaction_tasks.make_redaction, "request_id",
        resume=redaction_tasks.resume_redactions,
    ),
    "exhibit PDF": Kind(
        _exhibit_pdf, redaction_tasks.make_exhibit_pdf, "request_id",
        resume=redaction_tasks.resume_exhibit_pdfs,
    ),
    "packet": Kind(
        _packet, packet_tasks.build_packet, "request_id", "cases.packets.bag.write_zip",
        resume=packet_tasks.resume_packets,
    ),
    "answer": Kind(
        _answer, answer_tasks.build_answer, "request_id", "cases.answers.build.write_zip",
        resume=answer_tasks.resume_answers,
    ),
    "redacted document": Kind(
        _redacted_document, document_tasks.make_redacted_document, "request_id",
        resume=document_tasks.resume_redacted_documents,
    ),
}  # fmt: skip


@pytest.fixture(autouse=True)
def _read_here(monkeypatch):
    """The program that reads PDF answers in this process: nothing here is about its limits."""
    monkeypatch.setattr(reading, "_run", answered_here)


def files() -> set[str]:
    """Return every file of the store."""
    return {str(path) for path in Path(default_storage.path(".")).rglob("*") if path.is_file()}


def full(*args: Any, **kwargs: Any) -> Any:
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("kind", OWN_WORK.values(), ids=OWN_WORK)
def test_a_full_disk_ends_no_picture_however_long_it_lasts(kind, monkeypatch):
    asked = kind.ask()
    before = files()
    with monkeypatch.context() as patch:
        patch.setattr(kind.writes, full)
        assert [kind.run(asked) for _ in range(MAX_ATTEMPTS + 2)] == ["waits"] * (MAX_ATTEMPTS + 2)
        assert files() == before
        assert asked.preview == "waiting"
    assert kind.run(asked) == "made"


@pytest.mark.parametrize("kind", ASKED_FOR.values(), ids=ASKED_FOR)
def test_a_full_disk_is_said_and_leaves_nothing_half_done(kind, monkeypatch):
    asked = kind.ask()
    before = files()
    with monkeypatch.context() as patch:
        patch.setattr(kind.writes, full)
        assert kind.run(asked) == "failed"
    assert (asked.state, asked.failure) == ("failed", running.FULL)
    # The PDF of the signed report was kept before the packet failed: whole, and named by its row.
    kept = [row.file for row in SignedPdf.objects.filter(case=asked.case_id)]
    assert len(kept) == (1 if kind is ASKED_FOR["packet"] else 0)
    assert all(is_whole(file) for file in kept)
    assert files() - before == {default_storage.path(file.path) for file in kept}
    assert before <= files()


@pytest.mark.parametrize("kind", ASKED_FOR.values(), ids=ASKED_FOR)
def test_what_no_broker_took_is_sent_when_it_is_back_although_the_queue_is_behind(
    kind, monkeypatch, django_capture_on_commit_callbacks
):
    monkeypatch.setattr(sending, "send", lambda task, **given: False)
    with django_capture_on_commit_callbacks(execute=True):
        asked = kind.ask()
    row = JobProgress.objects.filter(key=asked.pk)
    assert row.get().sent_at is None
    sent: list[dict[str, str]] = []
    monkeypatch.setattr(sending, "send", lambda task, **given: bool(sent.append(given)) or True)
    monkeypatch.setattr(queries, "is_idle", lambda queue: False)
    assert kind.resume() == 0
    row.update(beat_at=row.get().beat_at - queries.WAITS_TOO_LONG)
    assert [kind.resume(), kind.resume()] == [1, 0]
    assert sent == [{"request_id": str(asked.pk)}]
    # It has expired in the queue by then.
    row.update(sent_at=row.get().sent_at - queries.EXPIRED)
    assert kind.resume() == 1


@pytest.mark.parametrize("answers", [[False], [True]])
def test_own_work_counts_as_sent_only_where_a_broker_took_it(answers, monkeypatch):
    asked = _photograph()
    JobProgress.objects.all().delete()
    monkeypatch.setattr(evidence_tasks, "PATIENCE", evidence_tasks.PATIENCE * 0)
    monkeypatch.setattr("me_office.jobs.sending.is_idle", lambda queue: True)
    monkeypatch.setattr(sending, "send", lambda task, **given: answers[0])
    assert evidence_tasks.derive_missing_images() == int(answers[0])
    assert (JobProgress.objects.get(key=asked.pk).sent_at is not None) is answers[0]
    assert tile_tasks.ask_for_tiles(asked.pk) == "waiting"
    tiles = JobProgress.objects.exclude(key=asked.pk).get()
    assert (tiles.sent_at is not None) is answers[0]


def test_the_table_holds_every_kind_of_request():
    # A statement is read in a process of its own: tests/statements/test_reading.py.
    assert {kind.__name__ for kind in job_kinds()} == {
        "CopyRequest", "RedactionRequest", "ExhibitPdf", "Packet", "Statement", "Answer",
        "RedactedDocument",
    }  # fmt: skip
