"""How the office knows that its workers and beat live: each says so, and each queue moves.

A worker's process says it from a thread of its own, so that one which is at a long job is not
taken for dead. That a queue moves is another thing: beat sends a job through each, and the job
says that it came through.
"""

from __future__ import annotations

import logging
import threading
from datetime import datetime, timedelta
from typing import Any

from celery import signals
from django.db import Error, connection
from django.db.models import F
from django.db.models.functions import Now

from me_office.upkeep.models import Heartbeat

log = logging.getLogger(__name__)
BEAT_SECONDS = 20.0
# Three beats that did not come.
SILENT = timedelta(seconds=75)
QUEUES = ("quick", "long")
BEAT = "beat"
WATCH = "watch"
# It says so after each look, and a look with a slow mail server may take minutes.
WATCH_SILENT = timedelta(minutes=5)


def worker(queue: str) -> str:
    """Return the name under which the workers of a queue say that they live."""
    return f"worker of {queue} jobs"


def through(queue: str) -> str:
    """Return the name under which a job says that it came through a queue."""
    return f"through {queue} jobs"


def note(*names: str) -> None:
    """Note that these live now."""
    Heartbeat.objects.bulk_create(
        [Heartbeat(name=name, beat_at=Now()) for name in names],
        update_conflicts=True,
        unique_fields=["name"],
        update_fields=["beat_at"],
    )


def last(name: str) -> tuple[datetime, timedelta] | None:
    """Return when something last lived and how long ago that is; None if it never did."""
    found = (
        Heartbeat.objects.filter(pk=name)
        .annotate(ago=Now() - F("beat_at"))
        .values_list("beat_at", "ago")
        .first()
    )
    return found


class _Heart:
    """Notes names every few seconds, in a thread, until it is told to stop."""

    def __init__(self) -> None:
        self.over = threading.Event()
        self.thread: threading.Thread | None = None

    def start(self, *names: str) -> None:
        """Begin, unless it beats already."""
        if self.thread is None and names:
            self.over.clear()
            self.thread = threading.Thread(
                target=self._run, args=(names,), name="heartbeat", daemon=True
            )
            self.thread.start()

    def stop(self) -> None:
        """End."""
        self.over.set()
        self.thread = None

    def _run(self, names: tuple[str, ...]) -> None:
        while True:
            try:
                note(*names)
            except Error:
                log.warning("A heartbeat could not be noted", exc_info=True)
            finally:
                connection.close()
            if self.over.wait(BEAT_SECONDS):
                return


_heart = _Heart()


def _worker_lives(sender: Any = None, **_: object) -> None:
    consumed = getattr(getattr(sender, "app", None), "amqp", None)
    queues = list(consumed.queues.consume_from) if consumed else []
    _heart.start(*(worker(queue) for queue in queues if queue in QUEUES))


def _beat_lives(**_: object) -> None:
    _heart.start(BEAT)


def _worker_ends(**_: object) -> None:
    _heart.stop()


signals.worker_ready.connect(_worker_lives)
signals.beat_init.connect(_beat_lives)
signals.beat_embedded_init.connect(_beat_lives)
signals.worker_shutdown.connect(_worker_ends)
