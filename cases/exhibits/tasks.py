"""Jobs of exhibits: making redacted copies, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from cases.exhibits import actions, queries, redacting
from cases.exhibits.models import RedactionRequest
from me_office.jobs import actions as jobs
from me_office.jobs import running, sending
from me_office.jobs.queries import abandoned


@shared_task
def make_redaction(*, request_id: str) -> str:
    """Make one redacted copy in the name of the person who asked; run again, it makes no second."""
    return make_requested(UUID(request_id))


def make_requested(request_id: UUID, *, reached: running.Stage = lambda stage: None) -> str:
    """Make one copy; `reached` is told each stage as it begins. Return how it came out."""
    asked = queries.redaction_request_to_make(request_id)
    if asked is None:
        return "gone"

    def make(begun: RedactionRequest) -> None:
        asked.attempts = begun.attempts
        redacting.make(asked, reached=reached)

    return running.run(
        asked,
        begin=lambda: actions.begin_redaction(asked.created_by, request_id=asked.pk),
        make=make,
        fail=lambda attempt, words: _fail(asked, attempt, words),
    )


def _fail(asked: RedactionRequest, attempt: int, words: str) -> RedactionRequest:
    return actions.fail_redaction(
        asked.created_by, request_id=asked.pk, attempt=attempt, failure=words
    )


@shared_task
def resume_redactions() -> int:
    """Take up copies that nobody is making although somebody should; return how many."""
    return running.resume(
        abandoned(RedactionRequest.objects.all(), queue=sending.QUICK),
        send=lambda asked: jobs.send(actions.REDACTION_TASK, asked.pk),
        fail=_fail,
    )
