"""Jobs of exhibits: making redacted copies and PDFs, and taking up those that were left lying."""

from __future__ import annotations

from cases.exhibits import actions, binding, queries, redacting
from cases.exhibits.models import ExhibitPdf, RedactionRequest
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

REDACTIONS = Kind(
    RedactionRequest,
    task=actions.REDACTION_TASK,
    queue=sending.QUICK,
    read=queries.redaction_request_to_make,
    begin=actions.begin_redaction,
    make=redacting.make,
    fail=actions.fail_redaction,
)
PDFS = Kind(
    ExhibitPdf,
    task=actions.PDF_TASK,
    queue=sending.QUICK,
    read=queries.pdf_to_make,
    begin=actions.begin_exhibit_pdf,
    make=binding.make,
    fail=actions.fail_exhibit_pdf,
)
make_requested = REDACTIONS.make_requested
make_requested_pdf = PDFS.make_requested
make_redaction, resume_redactions = REDACTIONS.tasks(
    resume="cases.exhibits.tasks.resume_redactions"
)
make_exhibit_pdf, resume_exhibit_pdfs = PDFS.tasks(
    resume="cases.exhibits.tasks.resume_exhibit_pdfs"
)
