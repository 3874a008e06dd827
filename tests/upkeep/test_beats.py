"""Workers and beat say that they live; who is silent, and which queue does not move, is said."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from celery import signals
from django.db import Error
from django.db.models import F

from me_office.upkeep import beats, tasks, watch
from me_office.upkeep.conditions import State, look
from me_office.upkeep.models import Heartbeat

pytestmark = pytest.mark.django_db(transaction=True)
PARTS = {
    "worker of quick jobs": beats.worker("quick"),
    "worker of long jobs": beats.worker("long"),
    "beat": beats.BEAT,
}


def aged(name: str, by: timedelta) -> None:
    Heartbeat.objects.filter(pk=name).update(beat_at=F("beat_at") - by)


@pytest.mark.parametrize("condition", PARTS)
def test_a_part_is_wrong_until_it_says_that_it_lives_and_when_it_falls_silent(condition: str):
    (said,) = look([condition])
    assert said.state is State.WRONG and "None has been seen." in said.says
    beats.note(PARTS[condition])
    assert [one.state for one in look([condition])] == [State.RIGHT]
    aged(PARTS[condition], beats.SILENT - timedelta(seconds=10))
    assert [one.state for one in look([condition])] == [State.RIGHT]
    aged(PARTS[condition], timedelta(seconds=11))
    (said,) = look([condition])
    assert said.state is State.WRONG and said.says.startswith("Silent since ")
    assert "celery -A me_office" in said.to_do
    beats.note(PARTS[condition])
    assert [one.state for one in look([condition])] == [State.RIGHT]


def test_the_watch_is_looked_for_where_somebody_is_to_be_mailed(settings: Any):
    settings.EMBEDDED, settings.ADMINS = False, []
    assert [one.state for one in look(["watch"])] == [State.RIGHT]
    settings.ADMINS = [("birch", "birch@office.invalid")]
    (said,) = look(["watch"])
    assert said.state is State.WRONG and "None has been seen." in said.says
    watch._note_that_it_lives()
    aged(beats.WATCH, timedelta(minutes=4, seconds=50))
    assert [one.state for one in look(["watch"])] == [State.RIGHT]
    aged(beats.WATCH, timedelta(seconds=11))
    (said,) = look(["watch"])
    assert said.state is State.WRONG and "systemctl start office-watch" in said.to_do
    settings.EMBEDDED = True
    assert [one.state for one in look(["watch"])] == [State.RIGHT]


@pytest.mark.parametrize(("queue", "most"), [("quick", 10), ("long", 360)])
def test_a_queue_that_does_not_move_is_said_to_wait(queue: str, most: int):
    assert [one.state for one in look(["queues"])] == [State.RIGHT]
    tasks.come_through(queue=queue)
    aged(beats.through(queue), timedelta(minutes=most - 1))
    assert [one.state for one in look(["queues"])] == [State.RIGHT]
    aged(beats.through(queue), timedelta(minutes=2))
    (said,) = look(["queues"])
    assert said.state is State.DANGER and f"The last {queue} job" in said.says


def test_a_worker_says_so_for_the_queues_it_takes_from_and_stops_when_it_ends():
    amqp = SimpleNamespace(queues=SimpleNamespace(consume_from={"long": 1, "celery.pidbox": 1}))
    beats._worker_lives(sender=SimpleNamespace(app=SimpleNamespace(amqp=amqp)))
    assert signals.worker_ready.has_listeners() and signals.beat_init.has_listeners()
    heart = beats._heart.thread
    assert heart is not None
    signals.worker_shutdown.send(sender=None)
    heart.join(10)
    assert not heart.is_alive()
    assert list(Heartbeat.objects.values_list("name", flat=True)) == ["worker of long jobs"]


def test_a_database_that_is_away_for_a_while_does_not_end_the_heartbeat(
    monkeypatch: pytest.MonkeyPatch,
):
    heart, noted = beats._Heart(), []

    def note(*names: str) -> None:
        noted.append(names)
        if len(noted) == 1:
            raise Error("away")
        heart.over.set()

    monkeypatch.setattr(beats, "note", note)
    monkeypatch.setattr(beats, "BEAT_SECONDS", 0.001)
    heart.start("beat")
    thread: Any = heart.thread
    thread.join(10)
    assert noted == [("beat",), ("beat",)]


def test_the_times_are_those_that_the_guide_gives():
    assert (20.0, timedelta(seconds=75)) == (beats.BEAT_SECONDS, beats.SILENT)
