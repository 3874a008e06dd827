"""Jobs of statements: reading PDFs, and taking up those that were left lying."""

from __future__ import annotations

from cases.statements import actions, reading
from cases.statements.models import Statement
from me_office.jobs.kinds import Kind

READINGS = Kind(Statement, actions.ATTEMPTS, reading.make, reads=("file",))
read_requested = READINGS.make_requested
read_statement, resume_statements = READINGS.tasks(
    resume="cases.statements.tasks.resume_statements"
)
