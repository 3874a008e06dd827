"""How an attempt ends, whose word counts, and what is sent to workers again."""

from __future__ import annotations

import errno
from contextlib import nullcontext
from datetime import timedelta
from types import SimpleNamespace
from typing import Any
from uuid import UUID, uuid4

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db.models.functions import Now

from cases.answers.tasks import ANSWERS
from cases.exhibits import actions as exhibits
from cases.exhibits.tasks import PDFS, REDACTIONS
from cases.packets import actions as packets
from cases.packets.tasks import PACKETS
from cases.redaction.tasks import COPIES as DOCUMENT_COPIES
from cases.statements.tasks import READINGS
from evidence.measuring.models import CopyRequest
from evidence.measuring.tasks import COPIES
from me_office.audit.actions import parameters
from me_office.audit.errors import NotAllowed, NotKnown, Refused
from me_office.jobs import actions, own_work, running, sending
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE, JobState
from me_office.upkeep.metrics.figures import job_kinds


@pytest.fixture
def attempt(monkeypatch):
    """Run one attempt, the third, whose part raises; return how it came out and what was noted."""
    monkeypatch.setattr(running, "alive", lambda key: nullcontext())

    def run(*, begin: Any = None, make: Any = None, fail: Any = None) -> tuple[str, list[Any]]:
        noted: list[Any] = []

        def step(error: Exception | None, value: Any = None) -> Any:
            if error is not None:
                raise error
            return value

        def failed(number: int, words: str) -> None:
            noted.append((number, words))
            step(fail)

        begun = SimpleNamespace(pk=1, attempts=3)
        how = running.run(
            SimpleNamespace(pk=1, attempts=2),
            begin=lambda: step(begin, begun), make=lambda job: step(make), fail=failed,
        )  # fmt: skip
        return how, noted

    return run


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (NotAllowed("You may not."), running.NO_LONGER),
        (NotKnown("There is no such case."), running.NO_LONGER),
        (Refused("The original is damaged."), "The original is damaged."),
        (SoftTimeLimitExceeded(), running.TOO_LONG),
        (OSError(errno.ENOSPC, "x"), running.FULL),
        (OSError(errno.EIO, "x"), running.BROKE),
        (RuntimeError("the decedent's name"), running.BROKE),
    ],
)
def test_what_ends_an_attempt_is_noted_in_words_for_the_person(attempt, error, words):
    assert attempt(make=error) == ("failed", [(3, words)])
    assert attempt(make=error, fail=actions.TakenOver("x")) == ("taken over", [(3, words)])


@pytest.mark.parametrize("error", [NotAllowed("x"), NotKnown("x")])
def test_what_may_not_begin_any_more_is_noted_for_the_attempt_before(attempt, error):
    assert attempt(begin=error) == ("failed", [(2, running.NO_LONGER)])


def test_an_attempt_that_was_overtaken_notes_nothing(attempt):
    assert attempt(make=actions.TakenOver("x")) == ("taken over", [])
    assert attempt() == ("made", [])


@pytest.mark.parametrize("number", [1, 2, 3])
@pytest.mark.parametrize("state", JobState)
def test_only_the_attempt_that_is_under_way_keeps_what_it_made_or_fails(state, number, monkeypatch):
    monkeypatch.setattr(actions, "note_progress", lambda *_, **__: None)
    monkeypatch.setattr(actions, "save_next_version", lambda actor, job: job)

    def job() -> CopyRequest:
        return CopyRequest(state=state.value, attempts=2)

    may_keep = number == 2 and state is JobState.MAKING
    with nullcontext() if may_keep else pytest.raises(actions.TakenOver):
        actions.require_attempt(job(), number)
    may_fail = number == 2 and state in {JobState.MAKING, JobState.WAITING}
    with nullcontext() if may_fail else pytest.raises(actions.TakenOver):
        failed = actions.fail(None, job(), attempt=number, failure="It broke.")
        assert (failed.state, failed.failure) == ("failed", "It broke.")


def test_each_kind_s_actions_carry_its_own_names():
    again: Any = packets.retry_packet
    assert again.__name__ == "retry_packet"
    wanted = {"case_id": True, "packet_id": True, "version": True, "reason": False}
    assert parameters(again) == wanted
    assert {"request_id", "attempt", "failure"} < parameters(exhibits.fail_redaction).keys()
    for wrong in ({"request_id": 1}, {"packet_id": 1, "more": 1}):
        with pytest.raises((KeyError, TypeError)):
            again.__wrapped__(None, case_id=1, version=1, **wrong)


def test_every_kind_is_looked_for_in_the_queue_to_which_it_is_sent():
    from me_office.celery import app

    kinds = (ANSWERS, COPIES, DOCUMENT_COPIES, PACKETS, PDFS, READINGS, REDACTIONS)
    app.loader.import_default_modules()
    sent_to = {kind.task: app.amqp.router.route({}, kind.task)["queue"].name for kind in kinds}
    assert sent_to == {kind.task: kind.queue for kind in kinds}
    assert {kind.model for kind in kinds} == set(job_kinds())
    assert sent_to.keys() <= app.tasks.keys()


@pytest.mark.django_db
def test_where_the_queue_is_behind_only_what_has_expired_in_it_is_sent_again(monkeypatch):
    behind = [True]
    monkeypatch.setattr(sending, "is_idle", lambda queue: not behind[0])
    ago = own_work.SENT_AGAIN_AFTER
    rows: dict[str, dict[str, Any]] = {
        "lately": {"sent_at": Now() - ago + timedelta(minutes=1)},
        "long ago": {"sent_at": Now() - ago - timedelta(minutes=1)},
        "begun": {"sent_at": Now() - ago - timedelta(minutes=1), "percent": 1},
        "nearly done": {"sent_at": None, "percent": 99},
        "done": {"sent_at": Now() - ago - timedelta(minutes=1), "percent": 100},
        "not taken": {"sent_at": None},
    }
    keys: dict[str, UUID] = {name: uuid4() for name in [*rows, "never sent"]}
    for name, row in rows.items():
        JobProgress.objects.create(key=keys[name], **row)
    due = {"long ago", "done", "not taken", "never sent"}
    sent = own_work.to_send(keys.values(), queue=sending.QUICK)
    assert {name for name, key in keys.items() if key in sent} == due
    assert own_work.to_send(keys.values(), queue=sending.QUICK) == []
    behind[0] = False
    assert set(own_work.to_send(keys.values(), queue=sending.QUICK)) == set(keys.values())


@pytest.mark.django_db
def test_where_no_broker_answers_nothing_is_sent_and_nothing_noted(monkeypatch):
    def away(queue: str) -> bool:
        sending.broker_pause.begin()
        return False

    monkeypatch.setattr(sending, "is_idle", away)
    assert own_work.to_send([uuid4()], queue=sending.QUICK) == []
    assert JobProgress.objects.count() == 0


@pytest.mark.django_db
@pytest.mark.parametrize("error", [None, RuntimeError()])
def test_an_attempt_that_ends_late_says_nothing_of_the_one_that_took_over(monkeypatch, error):
    monkeypatch.setattr(own_work, "alive", lambda key: nullcontext())
    key = uuid4()
    row = JobProgress.objects.filter(key=key)
    first, second = own_work.attempt(key, "works"), own_work.attempt(key, "works")
    assert first.__enter__() == 1
    row.update(beat_at=Now() - SILENCE)
    assert second.__enter__() == 2
    assert not first.__exit__(error and type(error), error, None)
    assert (row.get().percent, row.get().attempts) == (1, 2)
    second.__exit__(None, None, None)
    assert (row.get().percent, row.get().attempts) == (100, 0)
