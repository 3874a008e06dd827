"""Who is at work: a living attempt holds a lock of the database, and says so every few seconds.

A clock can jump and a busy worker can be silent; a lock ends only with its connection, so a
worker that lives keeps it and one that was killed loses it at once. An attempt is taken over
where it has been silent and holds no lock.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import UUID

from django.db import Error, connection
from django.db.models.functions import Now

from me_office.jobs.models import JobProgress

log = logging.getLogger(__name__)
BEAT_SECONDS = 20.0
# The work does not wait longer for its first beat than this.
FIRST_BEAT_SECONDS = 5.0


def lock_number(key: UUID) -> int:
    """Return the number of a request's lock: 63 of its bits."""
    return key.int & 0x7FFF_FFFF_FFFF_FFFF


def is_held(key: UUID) -> bool:
    """Tell whether a living attempt is at a request. Call it inside a transaction.

    Where nobody is, this transaction holds the lock until it ends.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [lock_number(key)])
        return not cursor.fetchone()[0]


class _Heart:
    """Holds the lock and beats, on a connection of its own, until it is told to stop."""

    def __init__(self, key: UUID) -> None:
        self.key = key
        self.over = threading.Event()
        self.begun = threading.Event()
        self.thread = threading.Thread(target=self._run, name=f"heart of {key}", daemon=True)

    def _run(self) -> None:
        try:
            while True:
                self._beat()
                self.begun.set()
                if self.over.wait(BEAT_SECONDS):
                    return
        finally:
            self.begun.set()
            self._let_go()

    def _let_go(self) -> None:
        """Free the lock before closing: the server notices a closed connection only later."""
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock_all()")
        except Error:
            log.warning("The lock of %s ends with its connection", self.key)
        finally:
            connection.close()

    def _beat(self) -> None:
        try:
            with connection.cursor() as cursor:
                # Again each time: after a lost connection the new one holds nothing.
                cursor.execute("SELECT pg_try_advisory_lock(%s)", [lock_number(self.key)])
            JobProgress.objects.filter(key=self.key).update(beat_at=Now())
        except Error:
            log.warning("The attempt at %s could not say that it lives", self.key)
            connection.close()


@contextmanager
def alive(key: UUID) -> Iterator[None]:
    """Say that an attempt lives for as long as the block runs."""
    heart = _Heart(key)
    heart.thread.start()
    heart.begun.wait(FIRST_BEAT_SECONDS)
    try:
        yield
    finally:
        heart.over.set()
        heart.thread.join()
