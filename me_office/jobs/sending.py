"""Messages to workers: nobody waits for a broker without bound, and none is sent twice for one.

What was asked for is kept in the database first. A message that could not be sent, or was lost
with the queue, is sent again by the periodic jobs (`me_office.jobs.queries`).
"""

from __future__ import annotations

import logging
import time
from typing import Any

import redis
from celery import current_app
from django.conf import settings
from kombu.exceptions import KombuError

log = logging.getLogger(__name__)
QUICK, LONG = "quick", "long"
# A message that nobody took in this time is dropped: by then another one may be on the way.
EXPIRES_SECONDS = 15 * 60
# After a broker did not answer, nobody waits for it again for this long.
PAUSE_SECONDS = 10.0
_UNREACHABLE = (OSError, KombuError, redis.RedisError)


class _Pause:
    """Until when this process does not try the broker; one failure speaks for all requests."""

    def __init__(self) -> None:
        self.until = 0.0

    def is_on(self) -> bool:
        return time.monotonic() < self.until

    def begin(self) -> None:
        self.until = time.monotonic() + PAUSE_SECONDS

    def end(self) -> None:
        self.until = 0.0


broker_pause = _Pause()


def send(task: str, **arguments: Any) -> bool:
    """Ask a worker; return whether the message went out. Never raises for a broker's sake."""
    if broker_pause.is_on():
        return False
    try:
        current_app.send_task(task, kwargs=arguments, retry=False, expires=EXPIRES_SECONDS)
    except _UNREACHABLE:
        broker_pause.begin()
        log.warning("The queue did not answer; %s is sent when it does", task)
        return False
    return True


def is_idle(queue: str) -> bool:
    """Tell whether nothing waits in a queue, so that what should be there was lost.

    False also where the broker does not answer: nothing could be sent then.
    """
    if broker_pause.is_on():
        return False
    options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    try:
        with redis.Redis.from_url(
            settings.CELERY_BROKER_URL,
            socket_timeout=options["socket_timeout"],
            socket_connect_timeout=options["socket_connect_timeout"],
        ) as client:
            waiting: int = client.llen(queue)
            return waiting == 0
    except _UNREACHABLE:
        broker_pause.begin()
        return False
