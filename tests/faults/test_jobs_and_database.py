"""The database goes away while a job keeps what it made: one of it, or one that is taken up again.

How long it is away makes no difference: a job that meets it ends at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone

from cases.answers import tasks
from cases.answers.models import Answer, NumberedPages, PageRun
from cases.letters import mailing
from cases.packets import store
from cases.redaction import reading
from cases.redaction import tasks as document_tasks
from cases.redaction.models import RedactedDocument
from evidence.store import holds, is_whole
from me_office.jobs import queries as job_queries
from me_office.jobs.models import JobProgress, JobRecord
from me_office.jobs.rules import SILENCE
from tests.answers.builders import asked_of_open_case
from tests.apart import Apart
from tests.builders import make_case
from tests.conftest import LONGEST_WAIT
from tests.faults.relay import Relay
from tests.letters.builders import made, mailed
from tests.packets.builders import make_clerk, make_request
from tests.packets.reading import complaint_of, unpacked
from tests.redaction.builders import add_document, answered_here, ask_for_copy, hide, make_reason

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("processes")]

FILES = "django.core.mail.backends.filebased.EmailBackend"


@pytest.fixture(scope="module")
def wire(django_db_setup: None) -> Iterator[Relay]:
    there = Relay()
    yield there
    there.close()


@pytest.fixture
def answer() -> Answer:
    """A small one that was asked for."""
    return asked_of_open_case(make_clerk())


def over(folder: str) -> None:
    """Reach the database over a wire from here on."""
    connection.close()
    connection.settings_dict["HOST"] = folder


def build_over(folder: str, key: UUID, careless: bool) -> None:
    """Build an answer as a worker does."""
    over(folder)
    if careless:  # the control: as if whatever is not confirmed were not kept
        store.take_back = lambda path, rows: store.remove(path)  # type: ignore[assignment]
    tasks.make_requested(key)


def redact_over(folder: str, key: UUID) -> None:
    """Make a redacted copy as a worker does, but for the process that reads PDF."""
    over(folder)
    reading._run = answered_here  # type: ignore[assignment]
    document_tasks.make_requested(key)


def mail_over(folder: str, box: str) -> None:
    """Mail what waits, into a folder."""
    over(folder)
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, box
    mailing.send_letters(timezone.now())


def cut_at(wire: Relay, mark: bytes, answered: bool, job: Any, *given: Any) -> None:
    """Let a process do a job, and cut the wire where the transaction is kept that writes a mark."""
    wire.watch(mark, answered=answered)
    worker = Apart(job, wire.folder.name, *given)
    assert wire.arrived.wait(LONGEST_WAIT)
    wire.cut()
    assert worker.wait() != 0, "its worker says that it failed"
    wire.mend()


def cut_at_the_end(wire: Relay, answer: Answer, *, answered: bool, careless: bool = False) -> str:
    """Cut the wire where the answer is kept; return the name of the file that was published."""
    path = store.path_of(answer.pk, answer.attempts + 1)
    cut_at(wire, path.encode(), answered, build_over, answer.pk, careless)
    answer.refresh_from_db()
    return path


def fall_silent(asked: JobRecord) -> None:
    long_ago = timezone.now() - SILENCE - timedelta(seconds=1)
    JobProgress.objects.filter(key=asked.pk).update(beat_at=long_ago, sent_at=long_ago)


def files_of(answer: Answer) -> list[Path]:
    folder = Path(default_storage.path("."))
    return sorted(path for path in folder.rglob(f"*{answer.pk}*") if path.is_file())


def test_an_answer_that_could_not_be_kept_is_taken_up_and_made_once(
    wire, answer, tmp_path, monkeypatch
):
    monkeypatch.setattr(job_queries, "is_idle", lambda queue: True)  # its message was taken
    path = cut_at_the_end(wire, answer, answered=False)
    assert (answer.state, answer.attempts, answer.path) == ("making", 1, "")
    assert not NumberedPages.objects.exists()
    fall_silent(answer)
    assert tasks.resume_answers() == 1
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    assert (answer.attempts, answer.path != path) == (2, True)
    assert files_of(answer) == [Path(default_storage.path(answer.path))]
    assert complaint_of(unpacked(answer, tmp_path)) == ""
    first, second = PageRun.objects.filter(answer=answer).order_by("first")
    assert first.last < second.first
    assert set(NumberedPages.objects.values_list("run", flat=True)) == {second.pk}


@pytest.mark.parametrize("careless", [False, True], ids=["as it is", "control"])
def test_an_answer_whose_keeping_was_not_confirmed_is_whole(wire, answer, careless):
    path = cut_at_the_end(wire, answer, answered=True, careless=careless)
    assert (answer.state, answer.path) == ("made", path)
    assert tasks.build_answer(request_id=str(answer.pk)) == "nothing to do"
    assert holds(answer.path, answer.sha256) is not careless


def build_until(stage: str, key: UUID) -> None:
    """Build an answer as a worker does; from a stage on the database is not there."""

    def reached(now: str) -> None:
        if now == stage:
            over("/nowhere")

    tasks.make_requested(key, reached=reached)


def test_an_answer_whose_database_stops_at_any_stage_is_taken_up_and_made_once(
    answer, tmp_path, monkeypatch
):
    monkeypatch.setattr(job_queries, "is_idle", lambda queue: True)  # its message was taken
    # Before a number is given, with numbers given, with the ZIP ready, with its file published.
    for attempt, stage in enumerate(("photographs", "combine", "publish", "published"), start=1):
        assert Apart(build_until, stage, answer.pk).wait() != 0, "its worker says that it failed"
        answer.refresh_from_db()
        assert (answer.state, answer.attempts, answer.path) == ("making", attempt, "")
        assert not NumberedPages.objects.exists()
        fall_silent(answer)
        assert tasks.resume_answers() == 1, "nobody has to ask"
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    assert files_of(answer) == [Path(default_storage.path(answer.path))]
    assert complaint_of(unpacked(answer, tmp_path)) == ""
    runs = list(PageRun.objects.filter(answer=answer).order_by("first"))
    assert [run.attempt for run in runs] == [2, 3, 4, 5]
    assert all(one.last < other.first for one, other in pairwise(runs))


@pytest.mark.parametrize("answered", [False, True], ids=["before", "after"])
def test_a_redacted_copy_is_made_once(wire, answered):
    clerk = make_clerk()
    letter = add_document(clerk, make_case())
    hide(clerk, letter, "Marla", make_reason(clerk))
    asked = ask_for_copy(clerk, letter)
    cut_at(wire, b"pages_made_anew", answered, redact_over, asked.pk)
    asked.refresh_from_db()
    assert asked.state == ("made" if answered else "making")
    fall_silent(asked)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading, "_run", answered_here)
        how = document_tasks.make_redacted_document(request_id=str(asked.pk))
    assert how == ("nothing to do" if answered else "made")
    kept = RedactedDocument.objects.select_related("file").get()
    assert is_whole(kept.file)
    assert kept.attempts == (1 if answered else 2)


@pytest.mark.parametrize("answered", [False, True], ids=["before", "after"])
@pytest.mark.parametrize(
    ("mark", "mails"), [(b'UPDATE "letters_lettermail"', 0), (b"finish_letter_mail", 1)],
    ids=["taken in hand", "sent"],
)  # fmt: skip
def test_a_letter_is_never_mailed_twice_and_never_forgotten(
    wire, tmp_path, settings, mark, mails, answered
):
    clerk = make_clerk()
    sending = mailed(made(make_request(make_case(), clerk), clerk), clerk)
    cut_at(wire, mark, answered, mail_over, str(tmp_path))
    assert len(list(tmp_path.iterdir())) == mails
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, str(tmp_path)
    for minutes in (20, 40):
        mailing.send_letters(timezone.now() + timedelta(minutes=minutes))
    sending.refresh_from_db()
    # Whoever died with a mail in hand may have sent it: a person is told, and asks the recipient.
    taken_in_hand = mails == 0 and answered
    unknown = taken_in_hand or (mails == 1 and not answered)
    assert sending.outcome == ("unknown" if unknown else "sent")
    assert len(list(tmp_path.iterdir())) == (0 if taken_in_hand else 1)
