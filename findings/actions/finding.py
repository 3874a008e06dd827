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
from findings.actions.entry import opened, refuse, require_changeable
from findings.models import Finding, Mark
from findings.queries import finding_for_update, standard_sentence_of, wound_in
from findings.rules import FAR_ENDS, wrong_with_finding, wrong_with_pair
from findings.words.wounds import WOUND_FIELDS, wrong_with_wound
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

OWN_FIELDS = (
    "klass",
    "term",
    "mechanism",
    "length_mm",
    "width_mm",
    "depth_mm",
    "measured_by",
    "seen_as",
    "shape",
    "margins",
    "colour",
    "pattern",
    "vital_reaction",
    "timing",
    "timing_ground",
    "impacts_kind",
    "impacts",
    "impacts_reason",
    "impact_group",
    *WOUND_FIELDS,
    "sentence",
)
FINDING_FIELDS = (*OWN_FIELDS, "place", *POSITION_FIELDS)
MARK_FIELDS = ("view", "kind", "points", "end", "count_low", "count_high")


@action
def record_finding(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    marks: Sequence[Mapping[str, object]] = (),
    reason: str = "",
) -> Finding:
    """Record a finding under the next number, with its marks, in one go.

    `entry` takes any of FINDING_FIELDS; place and position are derived from the first mark where
    nothing else is said. Each mark is `{"id": ..., "view": ..., "kind": ..., "points": [[u, v]]}`,
    one end of a pair with its "end", a pattern with "count_low" and "count_high".
    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = Finding(pk=record_id, case=case, examination=examination)
    _take_own(finding, entry)
    # A finding lies where its entrance is, in whatever order the two places were drawn.
    drawn = sorted((_mark(case, finding, mark) for mark in marks), key=is_far_end)
    placed = [place_of_mark(examination, mark) for mark in drawn]
    _check_pairs(drawn)
    settle_place(finding, placed[0] if placed else None, entry)
    finding.sentence_for_version = 1 if finding.sentence else None
    if finding.sentence:
        finding.sentence_from = standard_sentence_of(finding, drawn)
    there = recorded_before(finding, assigned=("number", "sentence_from"))
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
        **{name: given.get(name, "") for name in ("view", "kind", "points")},
        end=given.get("end") or "",
        count_low=given.get("count_low"),
        count_high=given.get("count_high"),
    )


def is_far_end(mark: Mark) -> bool:
    """Whether a mark is the exit, or where an object was recovered."""
    return mark.end in FAR_ENDS


def _check_pairs(drawn: Sequence[Mark]) -> None:
    ends: list[str] = []
    for mark in drawn:
        if mark.end:
            refuse(wrong_with_pair(mark.end, ends))
            ends.append(mark.end)


@action
def change_finding(
    actor: Staff, *, case_id: UUID, finding_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Finding:
    """Change what is said of a finding; `entry` takes any of FINDING_FIELDS.

    `sentence_checked` in the entry says that the edited sentence still fits the data. Raises
    NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    require_version(finding, version)
    require_changeable(finding, "finding", examination, reason)
    said = dict(entry)
    checked = bool(said.pop("sentence_checked", False))
    changed = _take_own(finding, said)
    settle_place(finding, derived_place_of(examination, finding), said)
    if not finding.sentence:
        finding.sentence_for_version, finding.sentence_from = None, ""
    elif checked or "sentence" in changed:
        finding.sentence_for_version = finding.version + 1
        finding.sentence_from = standard_sentence_of(finding)
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
    standing = Mark.objects.active().filter(finding=finding)
    for mark in standing.select_for_update().order_by("pk"):
        void(actor, mark, reason=reason)
    return finding


def _take_own(finding: Finding, entry: Entry) -> list[str]:
    known = {*POSITION_FIELDS, "place"}
    own = {name: value for name, value in entry.items() if name not in known}
    return set_fields(finding, own, OWN_FIELDS, whole=True)


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
    refuse(wrong_with_wound(wound_in(finding), klass=finding.klass))
