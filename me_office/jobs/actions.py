"""The moves of a request that a worker makes. Each is a part of an action of its app.

The app's action has locked the request (its case first) and checked that the person may do it.
"""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.db import transaction
from django.db.models.functions import Now

from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.audit.records import save_next_version, void
from me_office.jobs import sending
from me_office.jobs.alive import is_held
from me_office.jobs.models import JobProgress, JobRecord
from me_office.jobs.queries import silent_for
from me_office.jobs.rules import JobState, can_move, may_begin

JobT = TypeVar("JobT", bound=JobRecord)


class TakenOver(Refused):
    """A later attempt has taken over; this one gives up."""


def send_after_commit(task: str, key: UUID) -> None:
    """Say that the request waits, and ask a worker once the request is kept."""
    note_progress(key, percent=0, step="waiting in the queue")
    transaction.on_commit(lambda: send(task, key), robust=True)


def send(task: str, key: UUID) -> None:
    """Ask a worker; the periodic job asks again if the message is lost."""
    sent = sending.send(task, request_id=str(key))
    # What was sent is not sent again while it may lie in the queue; what was not, soon.
    JobProgress.objects.filter(key=key).update(sent_at=Now() if sent else None)


def begin(actor: Staff, job: JobT, *, step: str) -> JobT | None:
    """Begin an attempt, or return None: it is made, it failed, or another worker is at it."""
    if job.is_voided or not may_begin(JobState(job.state), silent_for(job.pk)):
        return None
    if is_held(job.pk):
        return None
    _move(job, JobState.MAKING)
    job.attempts += 1
    job.failure = ""
    note_progress(job.pk, percent=5, step=step)
    return save_next_version(actor, job)


def finish(actor: Staff, job: JobT) -> JobT:
    """Note that it is made; in the same transaction in which what was made is kept.

    Ask `require_attempt` first.
    """
    _move(job, JobState.MADE)
    note_progress(job.pk, percent=100, step="made")
    return save_next_version(actor, job)


def fail(actor: Staff, job: JobT, *, attempt: int, failure: str) -> JobT:
    """Note, in words for the person, why an attempt did not succeed. Raises TakenOver."""
    if job.attempts != attempt or job.state in {JobState.MADE, JobState.FAILED}:
        raise TakenOver("A later attempt took over.")
    _move(job, JobState.FAILED)
    job.failure = failure
    note_progress(job.pk, percent=0, step="not made")
    return save_next_version(actor, job)


def wait_again(actor: Staff, job: JobT, *, task: str) -> JobT:
    """Try again what failed. Raises Refused."""
    if job.is_voided:
        raise Refused("This was dismissed. Ask for it anew.")
    _move(job, JobState.WAITING)
    job.failure = ""
    saved = save_next_version(actor, job)
    send_after_commit(task, job.pk)
    return saved


def dismiss(actor: Staff, job: JobT) -> JobT:
    """Leave what was not made; why it was not stays with the request. Raises Refused."""
    if job.state != JobState.FAILED:
        raise Refused("Only a request that failed can be dismissed.")
    return void(actor, job, reason=f"Left: {job.failure}")


def require_attempt(job: JobRecord, attempt: int) -> None:
    """Refuse what an attempt made that another one has overtaken. Raises TakenOver."""
    if job.attempts != attempt or job.state != JobState.MAKING:
        raise TakenOver("A later attempt took over.")


def note_progress(key: UUID, *, percent: int, step: str) -> None:
    """Say how far the making is. Overwritten as it goes: no record of the office."""
    said = {"percent": percent, "step": step, "beat_at": Now()}
    JobProgress.objects.update_or_create(key=key, defaults=said)


def _move(job: JobRecord, to: JobState) -> None:
    now = JobState(job.state)
    if not can_move(now, to):
        raise Refused(f"What is {now} cannot become {to}.")
    job.state = to.value
