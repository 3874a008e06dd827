"""Jobs of statements: reading PDFs, and taking up those that were left lying."""

from __future__ import annotations

from cases.statements import actions, queries, reading
from cases.statements.models import Statement
from me_office.jobs import sending
from me_office.jobs.kinds import Kind

READINGS = Kind(
    Statement,
    task=actions.READING_TASK,
    queue=sending.QUICK,
    read=queries.statement_to_read,
    begin=actions.begin_statement_reading,
    make=reading.make,
    fail=actions.fail_statement_reading,
)
read_requested = READINGS.make_requested
read_statement, resume_statements = READINGS.tasks(
    resume="cases.statements.tasks.resume_statements"
)
