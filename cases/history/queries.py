"""Reads that tie the audit trail to a case."""

from __future__ import annotations

from uuid import UUID

from cases import access
from cases.access import Act
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown
from me_office.audit.models import AuditEvent
from me_office.audit.queries import work_note_tables


def record_of_case(actor: Staff, case_id: UUID, table: str, record_id: str) -> None:
    """Refuse a record that is not of this case, or a case out of reach. Raises NotKnown."""
    access.case_for(actor, Act.SEE, case_id)
    events = AuditEvent.objects.filter(table=table, record_id=record_id)
    if table in work_note_tables():
        # What somebody notes for their own work is told to nobody else.
        events = events.filter(actor_id=actor.pk)
    if not events.filter(case_id=case_id).exists():
        raise NotKnown("There is no such record in this case.")
