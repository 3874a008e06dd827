"""Jobs of statements: reading PDFs, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from cases.statements import actions, queries, reading
from cases.statements.models import Statement
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

READINGS = Kind(
    Statement,
    task=actions.READING_TASK,
    queue=sending.QUICK,
    read=queries.statement_to_read,
    begin=lambda actor, key: actions.begin_statement_reading(actor, request_id=key),
    make=lambda asked, reached: reading.make(asked, reached=reached),
    fail=lambda actor, key, attempt, words: actions.fail_statement_reading(
        actor, request_id=key, attempt=attempt, failure=words
    ),
)
read_requested = READINGS.make_requested


@shared_task
def read_statement(*, request_id: str) -> str:
    """Read one statement in the name of the person who added it; run again, nothing comes twice."""
    return read_requested(UUID(request_id))


@shared_task
def resume_statements() -> int:
    """Take up statements that nobody is reading although somebody should; return how many."""
    return READINGS.resume()
