"""Jobs of redacted documents: making copies, and taking up those that were left lying."""

from __future__ import annotations

from cases.redaction import actions, preparing
from cases.redaction.models import RedactedDocument
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

# Longer than the program that it waits for may take.
LONGEST_SECONDS = 1800

COPIES = Kind(
    RedactedDocument,
    actions.ATTEMPTS,
    preparing.make,
    reads=("document__file",),
    queue=sending.LONG,
)
make_requested = COPIES.make_requested
make_redacted_document, resume_redacted_documents = COPIES.tasks(
    resume="cases.redaction.tasks.resume_redacted_documents",
    soft_time_limit=LONGEST_SECONDS,
    time_limit=LONGEST_SECONDS + 60,
)
