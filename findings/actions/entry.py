"""How every action of the examination begins, and how it takes over what was entered."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from findings.models import Examination
from findings.queries import examination_for_update
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.audit.models import Record
from me_office.audit.records import require_reason


def case_to_examine(actor: Staff, case_id: UUID) -> Case:
    """The case, locked, if the person may record its examination. Raises NotKnown, NotAllowed."""
    case = case_to_change(actor, Act.EXAMINE, case_id)
    return case


def opened(actor: Staff, case_id: UUID) -> tuple[Case, Examination]:
    """The case and its opened examination, both locked. Raises Refused when not opened."""
    case = case_to_examine(actor, case_id)
    return case, examination_for_update(case)


def require_active(record: Record, what: str) -> None:
    """Refuse to change what was voided."""
    if record.is_voided:
        raise Refused(f"This {what} was voided. Its number is not reused; record a new one.")


def require_reason_after_end(examination: Examination, reason: str) -> None:
    """Ask why once the examination has ended: what was seen is then changed from memory."""
    if examination.ended_at is not None:
        require_reason(reason)


def require_changeable(record: Record, what: str, examination: Examination, reason: str) -> None:
    """Refuse to change or add to what was voided; ask why once the examination has ended."""
    require_active(record, what)
    require_reason_after_end(examination, reason)


def refuse(problem: tuple[str, str] | None) -> None:
    """Raise what a rule found wrong: the field and its sentence."""
    if problem is not None:
        raise Refused(problem[1], field=problem[0])
