"""Derived copies and redacted copies by a worker: once, whole, or not at all and said so."""

from __future__ import annotations

import io
import signal
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone
from PIL import Image

from cases.exhibits import actions as exhibits
from cases.exhibits import redacting
from cases.exhibits import tasks as redaction_tasks
from cases.exhibits.models import Redaction, RedactionRequest
from evidence.measuring import actions as measuring
from evidence.measuring import tasks as copy_tasks
from evidence.measuring.models import CopyRequest, DerivedCopy
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.jobs import actions as jobs
from me_office.jobs import queries
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS, SILENCE, JobState, can_move, is_abandoned, may_begin
from tests.apart import Apart
from tests.builders import make_case, make_staff
from tests.evidence.pictures import take_away
from tests.exhibits.builders import FACE, make_photograph
from tests.jobs.killed import die_at, fall_silent
from tests.measuring.pictures import measured, photograph_with_scale

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Kind:
    """One kind of copy that workers make."""

    tasks: Any
    request: Any
    made: Any
    act: str
    photograph: Callable[..., Any]
    ask: Callable[..., Any]
    retry: Callable[..., Any]
    leave: Callable[..., Any]
    task: Callable[..., str]
    resume: Callable[[], int]


def request_copy(by: Staff, photograph: Any, **changed: Any) -> CopyRequest:
    """A marked copy of a photograph with one measurement."""
    one = photograph.measurements.first() or measured(by, photograph)
    values = {"record_id": new_id(), "kind": "marked", **changed}
    return measuring.request_copy(
        by, case_id=photograph.case_id, photograph_id=photograph.pk, measurement_id=one.pk, **values
    )


def request_redaction(by: Staff, photograph: Any, **changed: Any) -> RedactionRequest:
    """A redacted copy of a photograph."""
    values = {"record_id": new_id(), "version": 0, "entries": [FACE], "reason": "Face", **changed}
    return redacting.ask(by, case_id=photograph.case_id, photograph_id=photograph.pk, **values)


COPY = Kind(
    copy_tasks, CopyRequest, DerivedCopy, "finish_copy", photograph_with_scale, request_copy,
    measuring.retry_copy, measuring.abandon_copy, copy_tasks.make_copy, copy_tasks.resume_copies,
)  # fmt: skip
REDACTION = Kind(
    redaction_tasks, RedactionRequest, Redaction, "finish_redaction", make_photograph,
    request_redaction, exhibits.retry_redaction, exhibits.abandon_redaction,
    redaction_tasks.make_redaction, redaction_tasks.resume_redactions,
)  # fmt: skip


@pytest.fixture(params=[COPY, REDACTION], ids=["copy", "redaction"])
def kind(request) -> Kind:
    """Each kind of copy in turn."""
    return request.param


@pytest.fixture
def photograph(kind, vasko):
    return kind.photograph(vasko, make_case(by=vasko))


def run(kind: Kind, asked: Any) -> str:
    """Make what was asked for, as the worker does."""
    how = kind.task(request_id=str(asked.pk))
    asked.refresh_from_db()
    return how


def derived_files() -> list[Path]:
    """Return every derived file in the store."""
    folder = Path(default_storage.path("derived"))
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_what_was_asked_for_is_made_once_under_its_key(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    assert (asked.state, kind.made.objects.count()) == ("waiting", 0)
    assert run(kind, asked) == "made"
    assert (asked.state, asked.attempts, asked.failure) == ("made", 1, "")
    assert run(kind, asked) == "nothing to do"
    assert [one.pk for one in kind.made.objects.all()] == [asked.pk]
    event = AuditEvent.objects.get(table=kind.made._meta.db_table)
    assert (event.act, event.actor_name) == (kind.act, "Dr. I. Vasko")
    assert JobProgress.objects.get(key=asked.pk).percent == 100


def test_a_second_request_makes_no_second_copy(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    assert kind.ask(vasko, photograph, record_id=asked.pk).pk == asked.pk
    with pytest.raises(Refused, match="being made"):
        kind.ask(vasko, photograph)
    run(kind, asked)
    assert kind.ask(vasko, photograph, record_id=asked.pk).state == "made"
    with pytest.raises((Refused, StaleRecord)):
        kind.ask(vasko, photograph)
    assert (kind.request.objects.count(), kind.made.objects.count()) == (1, 1)


def test_an_original_that_changed_is_said_and_a_retry_completes(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    there = Path(default_storage.path(photograph.file.path))
    whole = there.read_bytes()
    there.chmod(0o640)
    there.write_bytes(whole[:-4] + b"gone")
    before = derived_files()
    assert run(kind, asked) == "failed"
    assert (asked.state, "no longer has its digest" in asked.failure) == ("failed", True)
    assert (derived_files(), kind.made.objects.count()) == (before, 0)
    assert run(kind, asked) == "nothing to do"
    there.write_bytes(whole)
    keys = {"case_id": photograph.case_id, "request_id": asked.pk}
    with pytest.raises(StaleRecord):
        kind.retry(vasko, **keys, version=1)
    with pytest.raises(NotKnown):
        kind.retry(make_staff(Role.ADMINISTRATOR), **keys, version=asked.version)
    kind.retry(vasko, **keys, version=asked.version)
    assert run(kind, asked) == "made"
    assert (asked.attempts, kind.made.objects.count()) == (2, 1)


def test_what_was_not_made_can_be_left_and_asked_for_again(kind, vasko, photograph, monkeypatch):
    asked = kind.ask(vasko, photograph)
    keys = {"case_id": photograph.case_id, "request_id": asked.pk}
    with pytest.raises(Refused, match="failed can be dismissed"):
        kind.leave(vasko, **keys, version=asked.version)

    def too_large(*_: Any, **__: Any) -> None:
        raise Image.DecompressionBombError

    with monkeypatch.context() as broken:
        broken.setattr("evidence.measuring.copying.make_copy", too_large)
        broken.setattr("cases.exhibits.burning.redacted", too_large)
        assert run(kind, asked) == "failed"
    assert "copy" in asked.failure
    kind.leave(vasko, **keys, version=asked.version)
    asked.refresh_from_db()
    assert asked.void_reason == f"Left: {asked.failure}"
    with pytest.raises(Refused, match="was dismissed"):
        kind.retry(vasko, **keys, version=asked.version)
    told = AuditEvent.objects.filter(record_id=str(asked.pk)).values_list("act", flat=True)
    assert set(told) & {"leave_copy", "leave_redaction"}, "the trail keeps the act's first name"
    assert run(kind, asked) == "nothing to do"
    assert run(kind, kind.ask(vasko, photograph)) == "made"


def test_a_fault_of_the_office_is_said_without_its_words(kind, vasko, photograph, monkeypatch):
    asked = kind.ask(vasko, photograph)

    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError("the decedent's name")

    monkeypatch.setattr("evidence.store.receive", broken)
    assert run(kind, asked) == "failed"
    assert asked.failure.startswith("Something went wrong while it was made.")
    assert kind.made.objects.count() == 0


def test_who_may_no_longer_do_so_gets_no_copy(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    vasko.groups.clear()
    assert run(kind, asked) == "failed"
    assert "no longer has permission" in asked.failure
    assert kind.made.objects.count() == 0


def test_a_photograph_withdrawn_meanwhile_gets_no_copy(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    take_away(vasko, photograph)
    assert run(kind, asked) == "failed"
    assert "withdrawn" in asked.failure


def test_lost_messages_are_sent_again_and_what_ends_every_worker_is_given_up(
    kind, vasko, photograph, monkeypatch
):
    asked = kind.ask(vasko, photograph)
    monkeypatch.setattr(queries, "is_idle", lambda queue: False)
    assert kind.resume() == 0
    fall_silent(asked)
    # The queue is behind, and the message lies in it.
    assert kind.resume() == 0
    expired = timezone.now() - queries.EXPIRED - timedelta(seconds=1)
    JobProgress.objects.update(sent_at=expired)
    assert [kind.resume(), kind.resume()] == [1, 0]
    monkeypatch.setattr(queries, "is_idle", lambda queue: True)
    fall_silent(asked)
    kind.request.objects.filter(pk=asked.pk).update(voided_at=timezone.now())
    assert kind.resume() == 0
    kind.request.objects.filter(pk=asked.pk).update(voided_at=None)
    assert [kind.resume(), kind.resume()] == [1, 0]
    kind.request.objects.filter(pk=asked.pk).update(attempts=MAX_ATTEMPTS, state="making")
    fall_silent(asked)
    assert kind.resume() == 1
    asked.refresh_from_db()
    assert (asked.state, "stopped 5 times" in asked.failure) == ("failed", True)


def test_a_made_request_never_moves_and_a_failed_one_waits_again():
    assert not any(can_move(JobState.MADE, to) for to in JobState)
    assert [to for to in JobState if can_move(JobState.FAILED, to)] == [JobState.WAITING]
    assert may_begin(JobState.MAKING, SILENCE)
    assert not may_begin(JobState.MAKING, SILENCE - timedelta(seconds=1))
    assert not may_begin(JobState.FAILED, SILENCE)
    assert is_abandoned(JobState.WAITING, SILENCE)
    assert not is_abandoned(JobState.MADE, SILENCE)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_a_killed_worker_leaves_no_half_copy_and_a_later_one_completes(kind, vasko, photograph):
    asked = kind.ask(vasko, photograph)
    before = derived_files()
    # Between these stages nothing is written; at the last one the bytes are in the temporary place.
    for attempt, stage in enumerate(("draw", "publish"), start=1):
        attempted = Apart(die_at, stage, f"{kind.tasks.__name__}.make_requested", asked.pk)
        assert attempted.wait() == -signal.SIGKILL
        asked.refresh_from_db()
        assert (asked.state, asked.attempts) == ("making", attempt)
        assert (kind.made.objects.count(), derived_files()) == (0, before)
        # A message that is delivered again while the dead worker still counts as alive.
        assert run(kind, asked) == "nothing to do"
        fall_silent(asked)
    assert run(kind, asked) == "made"
    made = kind.made.objects.get()
    assert (made.pk, asked.attempts) == (asked.pk, 3)
    with default_storage.open(made.file.path) as file, Image.open(io.BytesIO(file.read())) as copy:
        copy.load()


@pytest.mark.django_db(transaction=True)
def test_an_attempt_that_comes_back_after_another_finished_changes_nothing(
    kind, vasko, photograph, monkeypatch
):
    asked = kind.ask(vasko, photograph)
    came_out: list[object] = []  # compared outside: a job notes whatever is raised in it
    monkeypatch.setattr(queries, "is_idle", lambda queue: True)  # its message counts as lost

    def overtaken(stage: str) -> None:
        if stage == "publish":
            fall_silent(asked)
            # It lives and holds its lock: silence, or a clock that jumped, does not end it.
            came_out.append(kind.task(request_id=str(asked.pk)))
            came_out.append(kind.resume())
            monkeypatch.setattr(jobs, "is_held", lambda key: False)  # as after a lost connection
            came_out.append(kind.task(request_id=str(asked.pk)))

    assert kind.tasks.make_requested(asked.pk, reached=overtaken) == "taken over"
    assert came_out == ["nothing to do", 0, "made"]
    asked.refresh_from_db()
    assert (asked.state, asked.attempts, kind.made.objects.count()) == ("made", 2, 1)
