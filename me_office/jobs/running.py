"""One attempt at a request, from its beginning to how it came out."""

from __future__ import annotations

import errno
import logging
from collections.abc import Callable, Iterable
from functools import partial
from typing import Any, TypeVar

from celery.exceptions import SoftTimeLimitExceeded

from me_office.audit.errors import NotAllowed, NotKnown, OfficeError
from me_office.jobs.actions import TakenOver
from me_office.jobs.alive import alive
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import MAX_ATTEMPTS

JobT = TypeVar("JobT", bound=JobRecord)
Stage = Callable[[str], None]
log = logging.getLogger(__name__)
BROKE = (
    "Something went wrong while it was made. Try again; if it happens again, tell an administrator "
    "the case and the time."
)
NO_LONGER = "The person who requested it no longer has permission for this in this case."
TOO_LONG = "It took longer than a job is allowed. Tell an administrator before you try again."
FULL = "The file store is full. Tell an administrator; try again when there is room."
STOPPED = (
    "The job stopped {attempts} times without a message. Tell an administrator before you try "
    "again."
)


def run(
    job: JobT,
    *,
    begin: Callable[[], JobT | None],
    make: Callable[[JobT], Any],
    fail: Callable[[int, str], Any],
) -> str:
    """Make what was asked for; run again, it makes nothing twice. Return how it came out.

    `make` publishes by one action as its last step, so that a killed worker leaves nothing.
    """
    try:
        begun = begin()
    except (NotAllowed, NotKnown):
        return failed(fail, job.attempts, NO_LONGER)
    if begun is None:
        return "nothing to do"
    try:
        with alive(begun.pk):
            make(begun)
    except TakenOver:
        log.warning("Request %s was taken over by a later attempt", job.pk)
        return "taken over"
    except (NotAllowed, NotKnown):
        return failed(fail, begun.attempts, NO_LONGER)
    except OfficeError as error:
        return failed(fail, begun.attempts, error.message)
    except SoftTimeLimitExceeded:
        log.warning("Request %s took longer than it may", job.pk)
        return failed(fail, begun.attempts, TOO_LONG)
    except OSError as error:
        log.exception("Request %s could not be made", job.pk)
        return failed(fail, begun.attempts, FULL if error.errno == errno.ENOSPC else BROKE)
    except Exception:
        # Named by its key alone: the log holds no case content.
        log.exception("Request %s could not be made", job.pk)
        return failed(fail, begun.attempts, BROKE)
    return "made"


def failed(fail: Callable[[int, str], Any], attempt: int, words: str) -> str:
    """Note why an attempt did not succeed, unless a later one took over."""
    try:
        fail(attempt, words)
    except TakenOver:
        return "taken over"
    return "failed"


def resume(
    left: Iterable[JobT],
    *,
    send: Callable[[JobT], None],
    fail: Callable[[JobT, int, str], Any],
) -> int:
    """Ask again for requests that nobody makes; give up on those that end every worker."""
    count = 0
    for job in left:
        count += 1
        if job.attempts >= MAX_ATTEMPTS:
            words = STOPPED.format(attempts=job.attempts)
            failed(partial(fail, job), job.attempts, words)
        else:
            send(job)
    return count
