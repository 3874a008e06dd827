"""Jobs of exhibits: making redacted copies and PDFs, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from cases.exhibits import actions, binding, queries, redacting
from cases.exhibits.models import ExhibitPdf, RedactionRequest
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

REDACTIONS = Kind(
    RedactionRequest,
    task=actions.REDACTION_TASK,
    queue=sending.QUICK,
    read=queries.redaction_request_to_make,
    begin=lambda actor, key: actions.begin_redaction(actor, request_id=key),
    make=lambda asked, reached: redacting.make(asked, reached=reached),
    fail=lambda actor, key, attempt, words: actions.fail_redaction(
        actor, request_id=key, attempt=attempt, failure=words
    ),
)
PDFS = Kind(
    ExhibitPdf,
    task=actions.PDF_TASK,
    queue=sending.QUICK,
    read=queries.pdf_to_make,
    begin=lambda actor, key: actions.begin_exhibit_pdf(actor, request_id=key),
    make=lambda asked, reached: binding.make(asked, reached=reached),
    fail=lambda actor, key, attempt, words: actions.fail_exhibit_pdf(
        actor, request_id=key, attempt=attempt, failure=words
    ),
)
make_requested = REDACTIONS.make_requested
make_requested_pdf = PDFS.make_requested


@shared_task
def make_redaction(*, request_id: str) -> str:
    """Make one redacted copy in the name of the person who asked; run again, it makes no second."""
    return make_requested(UUID(request_id))


@shared_task
def resume_redactions() -> int:
    """Take up copies that nobody is making although somebody should; return how many."""
    return REDACTIONS.resume()


@shared_task
def make_exhibit_pdf(*, request_id: str) -> str:
    """Make one PDF in the name of the person who asked; run again, it makes no second."""
    return make_requested_pdf(UUID(request_id))


@shared_task
def resume_exhibit_pdfs() -> int:
    """Take up PDFs that nobody is making although somebody should; return how many."""
    return PDFS.resume()
