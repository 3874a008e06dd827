"""Findings: recorded with their marks in one go, changed, voided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Max

from cases.models import Case
from findings.actions.deriving import (
    POSITION_FIELDS,
    derived_place_of,
    place_of_mark,
    settle_place,
)
from findings.actions.entry import (
    opened,
    refuse,
    require_reason_after_end,
    require_standing,
    take,
)
from findings.models import Finding, Mark
from findings.queries import finding_for_update
from findings.rules import wrong_with_finding
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.ids import new_id

OWN_FIELDS = (
    "klass",
    "term",
    "mechanism",
    "length_mm",
    "width_mm",
    "depth_mm",
    "measured_by",
    "seen_as",
    "timing",
    "timing_ground",
    "impacts_kind",
    "impacts",
    "impacts_reason",
    "impact_group",
    "sentence",
)
FINDING_FIELDS = (*OWN_FIELDS, "place", *POSITION_FIELDS)
MARK_FIELDS = ("view", "kind", "points")


@action
def record_finding(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Mapping[str, Any],
    marks: Sequence[Mapping[str, Any]] = (),
    reason: str = "",
) -> Finding:
    """Record a finding under the next number, with its marks, in one go.

    `entry` takes any of FINDING_FIELDS; place and position are derived from the first mark where
    nothing else is said. Each mark is `{"id": ..., "view": ..., "kind": ..., "points": [[u, v]]}`.
    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = Finding(pk=record_id, case=case, examination=examination)
    _take_own(finding, entry)
    drawn = [_mark(case, finding, mark) for mark in marks]
    placed = [place_of_mark(examination, mark) for mark in drawn]
    settle_place(finding, placed[0] if placed else None, entry)
    finding.sentence_for_version = 1 if finding.sentence else None
    there = recorded_before(finding, assigned=("number",))
    if there is not None:
        return there
    _check(finding)
    finding.number = _next_number(case)
    save_new(actor, finding)
    for mark in drawn:
        save_new(actor, mark)
    return finding


def _next_number(case: Case) -> int:
    # Voided findings count too: a number on the chart is never used twice.
    last = Finding.objects.filter(case=case).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def _mark(case: Case, finding: Finding, given: Mapping[str, Any]) -> Mark:
    return Mark(
        pk=given.get("id") or new_id(),
        case=case,
        finding=finding,
        **{name: given.get(name, "") for name in MARK_FIELDS},
    )


@action
def change_finding(
    actor: Staff,
    *,
    case_id: UUID,
    finding_id: UUID,
    version: int,
    entry: Mapping[str, Any],
    reason: str = "",
) -> Finding:
    """Change what is said of a finding; `entry` takes any of FINDING_FIELDS.

    `sentence_checked` in the entry says that the edited sentence still fits the data. Raises
    NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    require_version(finding, version)
    require_standing(finding, "finding")
    require_reason_after_end(examination, reason)
    said = dict(entry)
    checked = bool(said.pop("sentence_checked", False))
    changed = _take_own(finding, said)
    settle_place(finding, derived_place_of(examination, finding), said)
    if not finding.sentence:
        finding.sentence_for_version = None
    elif checked or "sentence" in changed:
        finding.sentence_for_version = finding.version + 1
    _check(finding)
    return save_next_version(actor, finding)


@action
def void_finding(
    actor: Staff, *, case_id: UUID, finding_id: UUID, version: int, reason: str
) -> Finding:
    """Void a finding with its marks; its number stays out of use.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case, _ = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    require_version(finding, version)
    void(actor, finding, reason=reason)
    standing = Mark.objects.standing().filter(finding=finding)
    for mark in standing.select_for_update().order_by("pk"):
        void(actor, mark, reason=reason)
    return finding


def _take_own(finding: Finding, entry: Mapping[str, Any]) -> list[str]:
    known = {*POSITION_FIELDS, "place"}
    own = {name: value for name, value in entry.items() if name not in known}
    return take(finding, own, OWN_FIELDS)


def _check(finding: Finding) -> None:
    measured = any(
        value is not None for value in (finding.length_mm, finding.width_mm, finding.depth_mm)
    )
    refuse(
        wrong_with_finding(
            klass=finding.klass,
            measured=measured,
            measured_by=finding.measured_by,
            impacts_kind=finding.impacts_kind,
            impacts=finding.impacts,
            impacts_reason=finding.impacts_reason,
            impact_group=finding.impact_group,
        )
    )
