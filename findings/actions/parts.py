"""What is recorded, changed and withdrawn of an examination part by part, in one frame for all.

An action of a part says its keys and what of the part is asked besides; the rest is here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from uuid import UUID

from cases.models import CaseRecord
from findings.actions.entry import (
    opened,
    require_active,
    require_changeable,
    require_reason_after_end,
)
from findings.queries import finding_for_update
from findings.queries.examination import record_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.fields import set_fields

PartT = TypeVar("PartT", bound=CaseRecord)


@dataclass(frozen=True)
class Kind(Generic[PartT]):
    """One kind of part: what the frame has to know of it."""

    model: type[PartT]
    fields: tuple[str, ...]
    """What a person enters; another name in an entry is a mistake of the caller."""
    named: str
    """What it is called where the case has no such one."""
    voided_as: str = ""
    """What it is called where it was voided, if otherwise."""
    check: Callable[[PartT], None] = lambda part: None
    """The rules of this kind. Raises Refused."""
    is_made_later: bool = False
    """Whether it is usual to record it after the end of the examination: nobody asks why then."""

    def add(
        self,
        actor: Staff,
        case_id: UUID,
        record_id: UUID,
        entry: Mapping[str, Any],
        reason: str,
        *,
        finding_id: UUID | None = None,
    ) -> PartT:
        """Record one: of the examination, or of the finding that is named.

        The same key with the same content is the same record. Raises NotKnown, NotAllowed,
        Refused, Invalid, Conflict.
        """
        case, examination = opened(actor, case_id)
        finding = finding_for_update(case, finding_id) if finding_id else None
        under = {"finding": finding} if finding else {"examination": examination}
        part = self.model(pk=record_id, case=case, **under)
        set_fields(part, entry, self.fields, whole=True)
        there = recorded_before(part)
        if there is not None:
            return there
        if finding:
            require_active(finding, "finding")
        if not self.is_made_later:
            require_reason_after_end(examination, reason)
        self.check(part)
        return save_new(actor, part)

    def change(
        self,
        actor: Staff,
        case_id: UUID,
        record_id: UUID,
        version: int,
        entry: Mapping[str, Any],
        reason: str,
    ) -> PartT:
        """Change one. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
        case, examination = opened(actor, case_id)
        part = record_for_update(self.model, case, record_id, self.named)
        require_version(part, version)
        require_changeable(part, self.voided_as or self.named, examination, reason)
        set_fields(part, entry, self.fields, whole=True)
        self.check(part)
        return save_next_version(actor, part)

    def void(
        self, actor: Staff, case_id: UUID, record_id: UUID, version: int, reason: str
    ) -> PartT:
        """Withdraw one. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
        case, _ = opened(actor, case_id)
        part = record_for_update(self.model, case, record_id, self.named)
        require_version(part, version)
        return void(actor, part, reason=reason)
