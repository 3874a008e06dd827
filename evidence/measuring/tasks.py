"""Jobs of measuring: making copies, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from evidence.measuring import actions, making, queries
from evidence.measuring.models import CopyRequest
from me_office.jobs import actions as jobs
from me_office.jobs import running, sending
from me_office.jobs.queries import abandoned


@shared_task
def make_copy(*, request_id: str) -> str:
    """Make one copy in the name of the person who asked; run again, it makes nothing twice."""
    return make_requested(UUID(request_id))


def make_requested(request_id: UUID, *, reached: running.Stage = lambda stage: None) -> str:
    """Make one copy; `reached` is told each stage as it begins. Return how it came out."""
    asked = queries.copy_request_to_make(request_id)
    if asked is None:
        return "gone"

    def make(begun: CopyRequest) -> None:
        asked.attempts = begun.attempts
        making.make_copy(asked, reached=reached)

    return running.run(
        asked,
        begin=lambda: actions.begin_copy(asked.created_by, request_id=asked.pk),
        make=make,
        fail=lambda attempt, words: _fail(asked, attempt, words),
    )


def _fail(asked: CopyRequest, attempt: int, words: str) -> CopyRequest:
    return actions.fail_copy(asked.created_by, request_id=asked.pk, attempt=attempt, failure=words)


@shared_task
def resume_copies() -> int:
    """Take up copies that nobody is making although somebody should; return how many."""
    return running.resume(
        abandoned(CopyRequest.objects.all(), queue=sending.QUICK),
        send=lambda asked: jobs.send(actions.COPY_TASK, asked.pk),
        fail=_fail,
    )
