"""Rules of counting and closures of courts: kept, changed, withdrawn."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    refuse_wrong,
    require_correction,
    require_for_office,
)
from cases.actions.office import locked_of_office, withdraws_of_office
from cases.counting import rules
from cases.counting.models import CountingRule, CourtClosure
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, save_new, save_next_version
from me_office.entries import Entry

RULE_FIELDS = names_entered(CountingRule)
CLOSURE_FIELDS = names_entered(CourtClosure)


@action
def keep_counting_rule(
    actor: Staff, *, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> CountingRule:
    """Keep a rule by which days are counted. `entry`: RULE_FIELDS; version 0 makes one.

    A change needs its reason; what was counted before stays as it was counted.
    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_COUNTING)
    record = (
        CountingRule(pk=record_id)
        if version == 0
        else locked_of_office(CountingRule, record_id, "rule of counting")
    )
    if version:
        require_correction(record, version, reason)
    set_fields(record, entry, RULE_FIELDS)
    said = {name: getattr(record, name) for name in RULE_FIELDS}
    refuse_wrong(rules.wrong_in_rule(said, timezone.localdate()))
    if version:
        return save_next_version(actor, record)
    there = recorded_before(record)
    return there if there is not None else save_new(actor, record, own_key=True)


# Nothing is counted by it any more, and what was counted stays.
retire_counting_rule = withdraws_of_office(
    "retire_counting_rule", CountingRule, "rule of counting", act=Act.KEEP_COUNTING
)


@action
def keep_court_closure(
    actor: Staff, *, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> CourtClosure:
    """Keep days on which a court does no business. `entry`: CLOSURE_FIELDS; version 0 makes one.

    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_COUNTING)
    record = (
        CourtClosure(pk=record_id)
        if version == 0
        else locked_of_office(CourtClosure, record_id, "closure")
    )
    if version:
        require_correction(record, version, reason)
    set_fields(record, entry, CLOSURE_FIELDS)
    record.court = " ".join(record.court.split())
    refuse_wrong(rules.wrong_in_closure({name: getattr(record, name) for name in CLOSURE_FIELDS}))
    if version:
        return save_next_version(actor, record)
    there = recorded_before(record)
    return there if there is not None else save_new(actor, record, own_key=True)


# It was entered wrongly, or the court did business after all.
withdraw_court_closure = withdraws_of_office(
    "withdraw_court_closure", CourtClosure, "closure", act=Act.KEEP_COUNTING
)
