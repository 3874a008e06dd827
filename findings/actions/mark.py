"""Marks on the body chart: placed, moved, voided. The finding's place follows."""

from __future__ import annotations

from uuid import UUID

from findings.actions.deriving import derive_again, place_of_mark
from findings.actions.entry import opened, refuse, require_changeable
from findings.actions.finding import MARK_FIELDS
from findings.models import Finding, Mark
from findings.queries import finding_for_update, mark_for_update
from findings.rules import wrong_with_pair
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


@action
def place_mark(
    actor: Staff,
    *,
    case_id: UUID,
    finding_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Mark:
    """Place one more mark of a finding; `entry` has any of MARK_FIELDS.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    mark = Mark(pk=record_id, case=case, finding=finding)
    set_fields(mark, entry, MARK_FIELDS, whole=True)
    place_of_mark(examination, mark)
    there = recorded_before(mark)
    if there is not None:
        return there
    require_changeable(finding, "finding", examination, reason)
    _check_pair(finding, mark)
    save_new(actor, mark)
    derive_again(actor, examination, finding)
    return mark


@action
def move_mark(
    actor: Staff, *, case_id: UUID, mark_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Mark:
    """Move or redraw a mark; `entry` has any of MARK_FIELDS.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    mark = mark_for_update(case, mark_id)
    require_version(mark, version)
    require_changeable(mark, "mark", examination, reason)
    set_fields(mark, entry, MARK_FIELDS, whole=True)
    place_of_mark(examination, mark)
    _check_pair(mark.finding, mark)
    save_next_version(actor, mark)
    derive_again(actor, examination, finding_for_update(case, mark.finding_id))
    return mark


@action
def void_mark(actor: Staff, *, case_id: UUID, mark_id: UUID, version: int, reason: str) -> Mark:
    """Void a mark; its finding stays, placed by the next mark or by hand.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case, examination = opened(actor, case_id)
    mark = mark_for_update(case, mark_id)
    require_version(mark, version)
    void(actor, mark, reason=reason)
    finding = finding_for_update(case, mark.finding_id)
    if not finding.is_voided:
        derive_again(actor, examination, finding)
    return mark


def _check_pair(finding: Finding, mark: Mark) -> None:
    if mark.end:
        others = Mark.objects.active().filter(finding=finding).exclude(pk=mark.pk)
        ends = others.exclude(end="").order_by("created_at", "pk").values_list("end", flat=True)
        refuse(wrong_with_pair(mark.end, ends))
