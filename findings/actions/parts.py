"""The actions of what an examination is made of: a part is added, changed, withdrawn.

A room gives them their names and says what is its own; what all of them do stands here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar
from uuid import UUID

from cases.actions.entry import called
from cases.models import CaseRecord
from findings.actions.entry import (
    opened,
    require_active,
    require_changeable,
    require_reason_after_end,
)
from findings.models import Examination, Finding
from findings.queries import finding_for_update
from findings.queries.examination import record_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

PartT = TypeVar("PartT", bound=CaseRecord)


@dataclass(frozen=True)
class Part(Generic[PartT]):
    """What these actions have to know of one kind of part.

    `key` is what page and API call its key; `fields` are what a person enters, and an entry has no
    others; `check` is the rule of its kind.
    """

    model: type[PartT]
    key: str
    fields: tuple[str, ...]
    named: str
    """What it is called where the case has no such one."""
    voided_as: str = ""
    """What it is called where it was voided, if otherwise."""
    check: Callable[[PartT], None] = lambda part: None
    is_made_later: bool = False
    """Whether it is usual to record it after the end of the examination: nobody asks why then."""

    def adds(self, name: str) -> Callable[..., PartT]:
        """Return the action that records one of the examination.

        The same key with the same content is the same record. Raises NotKnown, NotAllowed,
        Refused, Invalid, Conflict.
        """

        def add(
            actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
        ) -> PartT:
            case, examination = opened(actor, case_id)
            part = self.model(pk=record_id, case=case, examination=examination)
            return _add(actor, self, part, entry, examination, reason)

        return action(called(name, add))

    def adds_to_finding(self, name: str) -> Callable[..., PartT]:
        """Return the action that records one of a finding. Raises as `adds`."""

        def add(
            actor: Staff,
            *,
            case_id: UUID,
            finding_id: UUID,
            record_id: UUID,
            entry: Entry,
            reason: str = "",
        ) -> PartT:
            case, examination = opened(actor, case_id)
            finding = finding_for_update(case, finding_id)
            part = self.model(pk=record_id, case=case, finding=finding)
            return _add(actor, self, part, entry, examination, reason, finding)

        return action(called(name, add))

    def changes(self, name: str) -> Callable[..., PartT]:
        """Return the action that changes one.

        Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
        """

        def change(
            actor: Staff,
            *,
            case_id: UUID,
            record_id: UUID,
            version: int,
            entry: Entry,
            reason: str = "",
        ) -> PartT:
            case, examination = opened(actor, case_id)
            part = record_for_update(self.model, case, record_id, self.named)
            require_version(part, version)
            require_changeable(part, self.voided_as or self.named, examination, reason)
            set_fields(part, entry, self.fields, whole=True)
            self.check(part)
            return save_next_version(actor, part)

        return action(called(name, change, record_id=self.key))

    def voids(self, name: str) -> Callable[..., PartT]:
        """Return the action that withdraws one.

        Raises NotKnown, NotAllowed, StaleRecord, Refused.
        """

        def withdraw(
            actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
        ) -> PartT:
            case, _ = opened(actor, case_id)
            part = record_for_update(self.model, case, record_id, self.named)
            return void(actor, part, version=version, reason=reason)

        return action(called(name, withdraw, record_id=self.key))


def _add(
    actor: Staff,
    of: Part[PartT],
    part: PartT,
    entry: Entry,
    examination: Examination,
    reason: str,
    finding: Finding | None = None,
) -> PartT:
    set_fields(part, entry, of.fields, whole=True)
    there = recorded_before(part)
    if there is not None:
        return there
    if finding is not None:
        require_active(finding, "finding")
    if not of.is_made_later:
        require_reason_after_end(examination, reason)
    of.check(part)
    return save_new(actor, part)
