"""Where the sides of a race meet, so that a guard that is missing is seen each time.

Each side that arrives waits for the others. It goes on when all are there, or as soon as the
database says that none of the missing can come: each of them waits for a lock that somebody who is
here holds, or is over. Only a side that is held back otherwise is waited for in vain.
"""

from __future__ import annotations

import importlib
import threading
import time
from collections.abc import Callable

import psycopg
import pytest
from django.db import connection

# The longest wait for a side that neither comes nor is seen to be held back.
MEETING_SECONDS = 0.5
LOOK_EVERY_SECONDS = 0.004
HELD_BACK = """
    SELECT pid, pg_blocking_pids(pid) FROM pg_stat_activity
    WHERE datname = current_database() AND wait_event_type = 'Lock'
"""


class Meeting:
    """The place where `sides` of a race meet.

    `all_met` says whether they all did, `seen_held_back` that the database said why they never
    would.
    """

    def __init__(self, sides: int) -> None:
        self.sides = sides
        self.all_met = self.seen_held_back = False
        self._ended = 0
        self._here: set[int] = set()
        self._changed = threading.Condition()
        self._broken = False
        self._database = psycopg.connect(**connection.get_connection_params(), autocommit=True)

    def put_after(self, monkeypatch: pytest.MonkeyPatch, target: str) -> None:
        """Hold every caller of one function here once it has returned."""
        module, _, name = target.rpartition(".")
        inner: Callable[..., object] = getattr(importlib.import_module(module), name)

        def and_meet(*args: object, **kwargs: object) -> object:
            value = inner(*args, **kwargs)
            self.arrive()
            return value

        monkeypatch.setattr(target, and_meet)

    def close(self) -> None:
        """End what this watches the database with."""
        self._database.close()

    def arrive(self) -> bool:
        """Wait for the others on this thread's connection; return whether all met."""
        until = time.monotonic() + MEETING_SECONDS
        with self._changed:
            connection.ensure_connection()
            self._here.add(connection.connection.info.backend_pid)
            self._changed.notify_all()
            while not (self._broken or self._all_here()):
                if time.monotonic() > until or self._nobody_can_come():
                    self._broken = True
                else:
                    self._changed.wait(LOOK_EVERY_SECONDS)
            self._changed.notify_all()
            return self.all_met

    def end(self) -> None:
        """Say that a side is over, whether or not it arrived."""
        with self._changed:
            self._ended += 1
            self._changed.notify_all()

    def _all_here(self) -> bool:
        self.all_met = self.all_met or len(self._here) == self.sides
        return self.all_met

    def _nobody_can_come(self) -> bool:
        # Who is over while somebody waits here never arrived: those here are still under way.
        rows = self._database.execute(HELD_BACK).fetchall()
        held: set[int] = set()
        while more := {pid for pid, by in rows if (self._here | held) & set(by)} - held:
            held |= more
        self.seen_held_back = len(self._here | held) + self._ended >= self.sides
        return self.seen_held_back
