"""Jobs of exhibits: making redacted copies and PDFs, and taking up those that were left lying."""

from __future__ import annotations

from cases.exhibits import actions, binding, redacting
from cases.exhibits.models import ExhibitPdf, RedactionRequest
from me_office.jobs.kinds import Kind

REDACTIONS = Kind(RedactionRequest, actions.REDACTION, redacting.make, reads=("photograph__file",))
PDFS = Kind(ExhibitPdf, actions.EXHIBIT_PDF, binding.make, reads=("case", "exhibit_set"))
make_requested = REDACTIONS.make_requested
make_requested_pdf = PDFS.make_requested
make_redaction, resume_redactions = REDACTIONS.tasks(
    resume="cases.exhibits.tasks.resume_redactions"
)
make_exhibit_pdf, resume_exhibit_pdfs = PDFS.tasks(
    resume="cases.exhibits.tasks.resume_exhibit_pdfs"
)
