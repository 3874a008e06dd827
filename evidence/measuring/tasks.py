"""Jobs of measuring: making copies, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from evidence.measuring import actions, making, queries
from evidence.measuring.models import CopyRequest
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

COPIES = Kind(
    CopyRequest,
    task=actions.COPY_TASK,
    queue=sending.QUICK,
    read=queries.copy_request_to_make,
    begin=lambda actor, key: actions.begin_copy(actor, request_id=key),
    make=lambda asked, reached: making.make_copy(asked, reached=reached),
    fail=lambda actor, key, attempt, words: actions.fail_copy(
        actor, request_id=key, attempt=attempt, failure=words
    ),
)
make_requested = COPIES.make_requested


@shared_task
def make_copy(*, request_id: str) -> str:
    """Make one copy in the name of the person who asked; run again, it makes nothing twice."""
    return make_requested(UUID(request_id))


@shared_task
def resume_copies() -> int:
    """Take up copies that nobody is making although somebody should; return how many."""
    return COPIES.resume()
