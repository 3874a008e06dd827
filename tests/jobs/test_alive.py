"""Who lives is not taken over, whatever the clock says; who was killed is, at once."""

from __future__ import annotations

import threading
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.utils import timezone

from me_office.jobs import alive, own_work, queries
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS, SILENCE
from tests.conftest import LONGEST_WAIT

pytestmark = pytest.mark.django_db(transaction=True)


def held(key) -> bool:
    with transaction.atomic():
        return alive.is_held(key)


def test_an_attempt_holds_its_lock_for_as_long_as_it_lives():
    key = uuid4()
    assert not held(key)
    with alive.alive(key):
        assert held(key)
        assert not held(uuid4())
    assert not held(key)


def test_a_beat_is_heard_while_the_work_itself_says_nothing(monkeypatch):
    key = uuid4()
    long_ago = timezone.now() - SILENCE * 2
    JobProgress.objects.create(key=key, beat_at=long_ago)
    beats, enough = [], threading.Event()
    plain = alive._Heart._beat

    def counted(heart):
        plain(heart)
        beats.append(queries.silent_for(key))
        if len(beats) == 3:
            enough.set()

    monkeypatch.setattr(alive._Heart, "_beat", counted)
    monkeypatch.setattr(alive, "BEAT_SECONDS", 0.01)
    with alive.alive(key):
        assert enough.wait(LONGEST_WAIT)  # the work: nothing but this
    assert all(silent < SILENCE for silent in beats)


def test_a_lost_connection_is_made_again_and_the_lock_taken_again(monkeypatch):
    key, lost = uuid4(), threading.Event()
    plain = alive._Heart._beat

    def after_a_cut(heart):
        if not lost.is_set():
            plain(heart)
            with connection.cursor() as cursor:  # as when the server is started again
                cursor.execute("SELECT pg_backend_pid()")
                pid = cursor.fetchone()[0]
            killer.append(pid)
            cut.set()
            lost.wait(LONGEST_WAIT)
        plain(heart)
        if not held_again.is_set() and connection.connection is not None:
            held_again.set()

    killer: list[int] = []
    cut, held_again = threading.Event(), threading.Event()
    monkeypatch.setattr(alive._Heart, "_beat", after_a_cut)
    monkeypatch.setattr(alive, "BEAT_SECONDS", 0.01)
    monkeypatch.setattr(alive, "FIRST_BEAT_SECONDS", 0.01)
    with alive.alive(key):
        assert cut.wait(LONGEST_WAIT)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(%s, 5000)", killer)
        lost.set()
        assert held_again.wait(LONGEST_WAIT)
        assert held(key)


@pytest.mark.parametrize("jump", [timedelta(hours=1), timedelta(days=-1)])
def test_a_clock_that_jumps_ends_no_living_attempt(jump):
    key = uuid4()
    with own_work.attempt(key, "works"):
        JobProgress.objects.filter(key=key).update(beat_at=timezone.now() - jump)
        with pytest.raises(own_work.UnderWay), own_work.attempt(key, "works"):
            pytest.fail("two at once")


def test_control_without_the_lock_a_jump_of_the_clock_begins_a_second_attempt(monkeypatch):
    monkeypatch.setattr(own_work, "is_held", lambda key: False)
    key = uuid4()
    with own_work.attempt(key, "works"):
        JobProgress.objects.filter(key=key).update(beat_at=timezone.now() - timedelta(hours=1))
        with own_work.attempt(key, "works") as number:
            assert number == 2


def test_attempts_are_counted_before_the_work_and_end():
    key = uuid4()
    for number in range(1, MAX_ATTEMPTS + 1):
        with pytest.raises(KeyboardInterrupt), own_work.attempt(key, "works") as counted:
            assert counted == number == JobProgress.objects.get(key=key).attempts
            raise KeyboardInterrupt
    with pytest.raises(own_work.GivenUp), own_work.attempt(key, "works"):
        pytest.fail("once too often")
    assert own_work.is_given_up(key)
    own_work.forget(key)
    with own_work.attempt(key, "works"):
        pass
    row = JobProgress.objects.get(key=key)
    assert (row.percent, row.attempts) == (100, 0)
