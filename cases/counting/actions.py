"""Rules of counting and closures of courts: kept, changed, withdrawn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    refuse_wrong,
    require_correction,
    require_for_office,
)
from cases.counting import rules
from cases.counting.models import CountingRule, CourtClosure
from me_office.accounts.models import Staff
from me_office.audit.actions import action, recorded_before, save_new, save_next_version, void
from me_office.audit.errors import known
from me_office.audit.fields import set_fields

RULE_FIELDS = names_entered(CountingRule)
CLOSURE_FIELDS = names_entered(CourtClosure)


@action
def keep_counting_rule(
    actor: Staff, *, record_id: UUID, version: int, entry: Mapping[str, Any], reason: str = ""
) -> CountingRule:
    """Keep a rule by which days are counted. `entry`: RULE_FIELDS; version 0 makes one.

    A change needs its reason; what was counted before stays as it was counted.
    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_COUNTING)
    record = CountingRule(pk=record_id) if version == 0 else _rule(record_id)
    if version:
        require_correction(record, version, reason)
    set_fields(record, entry, RULE_FIELDS)
    said = {name: getattr(record, name) for name in RULE_FIELDS}
    refuse_wrong(rules.wrong_in_rule(said, timezone.localdate()))
    if version:
        return save_next_version(actor, record)
    there = recorded_before(record)
    return there if there is not None else save_new(actor, record, own_key=True)


@action
def retire_counting_rule(
    actor: Staff, *, record_id: UUID, version: int, reason: str
) -> CountingRule:
    """Retire a rule: nothing is counted by it any more, and what was counted stays.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_COUNTING)
    return void(actor, _rule(record_id), version=version, reason=reason)


@action
def keep_court_closure(
    actor: Staff, *, record_id: UUID, version: int, entry: Mapping[str, Any], reason: str = ""
) -> CourtClosure:
    """Keep days on which a court does no business. `entry`: CLOSURE_FIELDS; version 0 makes one.

    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_COUNTING)
    record = CourtClosure(pk=record_id) if version == 0 else _closure(record_id)
    if version:
        require_correction(record, version, reason)
    set_fields(record, entry, CLOSURE_FIELDS)
    record.court = " ".join(record.court.split())
    refuse_wrong(rules.wrong_in_closure({name: getattr(record, name) for name in CLOSURE_FIELDS}))
    if version:
        return save_next_version(actor, record)
    there = recorded_before(record)
    return there if there is not None else save_new(actor, record, own_key=True)


@action
def withdraw_court_closure(
    actor: Staff, *, record_id: UUID, version: int, reason: str
) -> CourtClosure:
    """Withdraw a closure that was entered wrongly. Raises NotAllowed, NotKnown, StaleRecord."""
    require_for_office(actor, Act.KEEP_COUNTING)
    return void(actor, _closure(record_id), version=version, reason=reason)


def _rule(record_id: UUID) -> CountingRule:
    rows = CountingRule.objects.select_for_update(of=("self",))
    return known(rows.filter(pk=record_id).first(), "rule of counting")


def _closure(record_id: UUID) -> CourtClosure:
    rows = CourtClosure.objects.select_for_update(of=("self",))
    return known(rows.filter(pk=record_id).first(), "closure")
