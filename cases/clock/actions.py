"""Counting a request's due day, fixing it, and noting what changed its clock."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import date
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong
from cases.clock import queries, rules
from cases.clock.models import ClockChange, DueCount
from cases.clock.rules import Effect
from cases.counting.queries import Asked, counted
from cases.counting.rules import entered_of
from cases.court.models import RecordsRequest
from cases.court.opening import request_to_change
from cases.court.rules import RequestState
from evidence import store
from evidence.store import Incoming
from evidence.store.uploads import kind_of_paper, taken_in
from findings.calculations.counting import Period, Unit
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

COUNT_FIELDS = ("rule_key", "trigger_on", "amount", "unit", "way", "court")
FIXED_FIELDS = ("basis", "end_on", "note")
CHANGE_FIELDS = ("kind", "on", "effect", "new_due_on", "days_left", "note")
MOST_BYTES = 20 * 1024 * 1024
# What the office sets on a count beside what was entered.
_MADE = (
    *("rule_name", "rule_source", "rule_as_it_was", "end_on", "steps", "warnings"),
    *VOIDING,
)
_RESULT = (
    *("due_before", "stopped_before", "basis_before", "due_after", "stopped_after"),
    *VOIDING,
)


@action
def count_due_day(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID,
    entry: Entry, reason: str = "",
) -> DueCount:  # fmt: skip
    """Count a request's due day by a rule. `entry`: COUNT_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked = _open_request(actor, case_id, request_id)
    kept = DueCount(pk=record_id, case_id=case_id, request=asked, basis="counted")
    set_fields(kept, entry, COUNT_FIELDS)
    there = recorded_before(kept, assigned=_MADE)
    if there is not None:
        return there
    _require_running(asked)
    if not kept.amount or not kept.trigger_on:
        raise Invalid({"amount" if kept.trigger_on else "trigger_on": ["Fill this in."]})
    if kept.trigger_on > timezone.localdate():
        raise Invalid({"trigger_on": ["This date is in the future."]})
    period = Period(kept.amount, Unit(kept.unit))
    found = counted(Asked(kept.rule_key, kept.trigger_on, period, kept.way, kept.court))
    end = found.count.end
    if end is None:
        field = {"trigger": "trigger_on", "calendar": "rule_key"}.get(
            found.count.field, found.count.field
        )
        raise Refused(found.count.refused, field=field)
    if end < asked.served_on:
        raise Refused("The due date cannot be before the date served or received.", field="amount")
    ruleset = found.rule.ruleset
    kept.rule_name, kept.rule_source = ruleset.name, ruleset.source
    kept.rule_as_it_was = entered_of(ruleset)
    kept.end_on, kept.steps, kept.warnings = end, found.steps, list(found.count.warnings)
    return _hold(actor, asked, kept)


@action
def fix_due_day(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID,
    entry: Entry, reason: str = "",
) -> DueCount:  # fmt: skip
    """Say which due day the court fixed or the parties agreed. `entry`: FIXED_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked = _open_request(actor, case_id, request_id)
    kept = DueCount(pk=record_id, case_id=case_id, request=asked)
    set_fields(kept, entry, FIXED_FIELDS)
    there = recorded_before(kept, assigned=VOIDING)
    if there is not None:
        return there
    _require_running(asked)
    if kept.basis not in {"fixed", "agreed"}:
        raise Invalid({"basis": ["Choose whether the court fixed it or it was agreed."]})
    if not kept.note:
        raise Invalid({"note": ["Say by which order or letter, and of when."]})
    refuse_wrong(rules.wrong_in_fixed({"end_on": kept.end_on}, asked.served_on))
    return _hold(actor, asked, kept)


def _hold(actor: Staff, asked: RecordsRequest, kept: DueCount) -> DueCount:
    """Keep a count and let the request follow it."""
    save_new(actor, kept)
    asked.due_on, asked.due_basis = kept.end_on, kept.basis
    save_next_version(actor, asked)
    return kept


def note_change(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID,
    upload: Any = None, entry: Entry, reason: str = "",
) -> ClockChange:  # fmt: skip
    """Take the paper in, if there is one, and note the change; who may not is refused before.

    Raises NotKnown, NotAllowed, Refused, Conflict, Invalid.
    """
    access.case_for(actor, Act.HANDLE_REQUEST, case_id)
    known: dict[str, Any] = {
        "case_id": case_id, "request_id": request_id, "record_id": record_id, "entry": entry,
        "reason": reason,
    }  # fmt: skip
    if not upload:
        return note_clock_change(actor, **known, incoming=None)
    kind = kind_of_paper(upload, most_bytes=MOST_BYTES)
    with taken_in(upload, kind) as incoming:
        return note_clock_change(actor, **known, incoming=incoming)


@action
def note_clock_change(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID,
    entry: Entry, incoming: Incoming | None, reason: str = "",
) -> ClockChange:  # fmt: skip
    """Note what stopped, moved or started a request's clock. `entry`: CHANGE_FIELDS.

    What is left is counted by the rule of the request's own count as it was, where it has one.
    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked = _open_request(actor, case_id, request_id)
    made = ClockChange(pk=record_id, case_id=case_id, request=asked)
    set_fields(made, entry, CHANGE_FIELDS)
    made.file_name = incoming.name[-200:] if incoming else ""
    there = ClockChange.objects.filter(pk=record_id).select_related("file").first()
    if there is not None:
        sent = incoming.sha256 if incoming else ""
        if (there.file.sha256 if there.file else "") != sent:
            raise Conflict("A record with this key has different content.", record=there)
        made.file = there.file
        again = recorded_before(made, assigned=_RESULT)
        if again is not None:
            return again
    now, today = queries.standing_of(asked), timezone.localdate()
    refuse_wrong(rules.wrong_in_change(said_of(made, CHANGE_FIELDS), now, asked.served_on, today))
    due_on = made.new_due_on
    if made.effect == Effect.RUNS and made.days_left is not None:
        due_on = _days_left_end(asked, made.on, made.days_left)
    then = rules.after(
        now, Effect(made.effect), on=made.on, due_on=due_on, days_left=made.days_left
    )
    made.due_before, made.stopped_before = now.due_on, now.stopped_since
    made.basis_before = asked.due_basis
    made.due_after, made.stopped_after = then.due_on, then.stopped_since
    with store.kept(incoming) if incoming else nullcontext() as made.file:
        save_new(actor, made)
        if made.effect != Effect.NONE:
            asked.due_on, asked.stopped_since = then.due_on, then.stopped_since
            if then.due_on != now.due_on:
                asked.due_basis = "fixed" if made.kind in {"order", "protective"} else "agreed"
                if made.effect == Effect.RUNS and made.days_left is not None:
                    asked.due_basis = "counted" if due_on is not None else "entered"
            save_next_version(actor, asked)
    return made


def _days_left_end(asked: RecordsRequest, on: date, left: int) -> date | None:
    """Count what is left as the request was counted; None without a rule. Raises Refused."""
    found = queries.count_left(asked, on, left)
    if found is not None and found.end is None:
        raise Refused(found.refused, field="days_left")
    return found.end if found else None


@action
def withdraw_clock_change(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int, reason: str
) -> ClockChange:
    """Withdraw the change that was noted last: the request stands as it did before.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    asked = _open_request(actor, case_id, request_id)
    made = queries.change_of(asked, record_id)
    require_reason(reason)
    if not made.is_voided:
        newest = queries.newest_change(asked)
        if newest is None or newest.pk != made.pk:
            raise Refused("Another change was noted after this one. Withdraw that one first.")
        stands = (asked.due_on, asked.stopped_since)
        if made.effect != Effect.NONE and stands != (made.due_after, made.stopped_after):
            raise Refused("The due day was changed after this. Count or fix it instead.")
    gone = void(actor, made, version=version, reason=reason)
    if made.effect != Effect.NONE:
        asked.due_on, asked.stopped_since = made.due_before, made.stopped_before
        asked.due_basis = made.basis_before
        save_next_version(actor, asked)
    return gone


def _open_request(actor: Staff, case_id: UUID, request_id: UUID) -> RecordsRequest:
    """Return the open request of a case, locked. Raises NotKnown, NotAllowed, Refused."""
    asked = request_to_change(actor, case_id, request_id)
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state} and can no longer be changed.")
    return asked


def _require_running(asked: RecordsRequest) -> None:
    if asked.stopped_since:
        raise Refused("The clock is stopped. Note first what lets it run again.")
