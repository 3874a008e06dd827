"""What the office does without being asked: an attempt at a time, and not for ever.

Previews, tiles, whole files that wait to be taken in, the check of the store: none is a record
that a person asked for. How often each was tried stands in its `JobProgress`, written before the
work begins, so that what ends its worker is counted too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet
from django.db.models.functions import Now

from me_office.jobs import sending
from me_office.jobs.alive import alive, is_held
from me_office.jobs.models import JobProgress
from me_office.jobs.queries import silent_for
from me_office.jobs.rules import MAX_ATTEMPTS, SILENCE

# Sent again this late although the queue is behind: the message has expired by then.
SENT_AGAIN_AFTER = timedelta(seconds=sending.EXPIRES_SECONDS)


class GivenUp(Exception):
    """It was tried as often as it may be, and ended its worker each time."""


class UnderWay(Exception):
    """Another worker is at it."""


@contextmanager
def attempt(key: UUID, step: str) -> Iterator[int]:
    """Lend the number of a new attempt. Raises UnderWay, GivenUp.

    Whatever the block raises leaves the matter open for a later attempt; a block that ends well
    closes it.
    """
    number = _begin(key, step)
    try:
        with alive(key):
            yield number
    except BaseException:
        JobProgress.objects.filter(key=key, attempts=number).update(percent=0, beat_at=Now())
        raise
    JobProgress.objects.filter(key=key, attempts=number).update(
        percent=100, attempts=0, beat_at=Now()
    )


def _begin(key: UUID, step: str) -> int:
    with transaction.atomic():
        JobProgress.objects.get_or_create(key=key)
        row = JobProgress.objects.select_for_update().get(key=key)
        if is_held(key) or (0 < row.percent < 100 and silent_for(key) < SILENCE):
            raise UnderWay
        if row.attempts >= MAX_ATTEMPTS:
            raise GivenUp
        row.attempts += 1
        JobProgress.objects.filter(key=key).update(
            attempts=row.attempts, percent=1, step=step, beat_at=Now()
        )
    return row.attempts


def forget(key: UUID) -> None:
    """Begin to count again, where somebody settled what was in the way."""
    JobProgress.objects.filter(key=key).update(attempts=0, percent=0)


def give_up(key: UUID) -> None:
    """Try it no more: what was tried can't succeed."""
    JobProgress.objects.filter(key=key).update(attempts=MAX_ATTEMPTS, percent=0, beat_at=Now())


def is_given_up(key: UUID, *, for_good_after: timedelta | None = None) -> bool:
    """Tell whether it is tried no more; after a time it is, once, where that may have passed."""
    row = JobProgress.objects.filter(key=key, attempts__gte=MAX_ATTEMPTS)
    if for_good_after is not None:
        row = row.filter(beat_at__gt=Now() - for_good_after)
    return row.exists()


def due_to_send(key: UUID, *, patience: timedelta) -> bool:
    """Tell whether a worker should be asked now, and note that one is: once for all who ask."""
    JobProgress.objects.get_or_create(key=key)
    again = Q(sent_at=None) | Q(sent_at__lt=Now() - patience)
    return bool(JobProgress.objects.filter(again, key=key).update(sent_at=Now()))


def to_send(keys: Iterable[UUID], *, queue: str) -> list[UUID]:
    """Return which of these are to be sent to workers now, and note that they are.

    Where the queue is behind, what was sent lies in it still: only what must have expired is
    sent again.
    """
    wanted = list(keys)
    if not wanted:
        return []
    if not sending.is_idle(queue):
        wanted = sorted(set(wanted) - set(_lately_sent(wanted).values_list("key", flat=True)))
        if sending.broker_pause.is_on():
            return []
    rows = [JobProgress(key=key, sent_at=Now(), beat_at=Now()) for key in wanted]
    JobProgress.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["key"], update_fields=["sent_at"]
    )
    return wanted


def not_sent(key: UUID) -> None:
    """Take back that a worker was asked: no broker took the message."""
    JobProgress.objects.filter(key=key).update(sent_at=None)


def send_waiting(task: str, waiting: QuerySet[Any], argument: str) -> int:
    """Send a quick job for each row that is due; return how many were sent."""
    keys = to_send(waiting.values_list("pk", flat=True), queue=sending.QUICK)
    sent = 0
    for key in keys:
        if sending.send(task, **{argument: str(key)}):
            sent += 1
        else:
            not_sent(key)
    return sent


def _lately_sent(keys: list[UUID]) -> QuerySet[JobProgress]:
    return JobProgress.objects.filter(
        Q(sent_at__gt=Now() - SENT_AGAIN_AFTER) | Q(percent__gt=0, percent__lt=100), key__in=keys
    )
