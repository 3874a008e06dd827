"""Reads that tie the audit trail to a case."""

from __future__ import annotations

from uuid import UUID

from cases import access
from cases.access import Act
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown
from me_office.audit.models import AuditEvent


def record_of_case(actor: Staff, case_id: UUID, table: str, record_id: str) -> None:
    """Refuse a record that is not of this case, or a case out of reach. Raises NotKnown."""
    access.case_for(actor, Act.SEE, case_id)
    events = AuditEvent.objects.filter(table=table, record_id=record_id)
    if not events.filter(case_id=case_id).exists():
        raise NotKnown("There is no such record in this case.")
