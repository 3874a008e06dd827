"""Answering checks, setting contradictions aside, and what the office asks."""

from __future__ import annotations

from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change, require_for_office
from cases.actions.office import changes_own, withdraws_own
from cases.checking import queries
from cases.checking.models import CheckAnswer, CheckSetAside, OfficeCheck
from cases.checking.rules import Answered, Outcome, allowed_answers, shipped
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_before,
    require_reason,
    save_new,
    void,
)
from me_office.entries import Entry

ENTERED = ("words", "level", "is_off")
OWN = ("words", "level", "applies")
REFUSED = {
    Answered.CONFIRMED: "Only a check of the office’s own is confirmed; this one is read from the "
    "record.",
    Answered.LEFT_OUT: "Nothing needs to be left out: this check does not keep the report.",
}


@action
def answer_check(
    actor: Staff, *, case_id: UUID, record_id: UUID, key: str, answer: str, why: str,
    reason: str = "",
) -> CheckAnswer:  # fmt: skip
    """Say of a check that is missing: it was done, does not apply, or the report goes without it.

    What the office needs before review is answered by who writes the report. Raises NotKnown,
    NotAllowed, Refused, Conflict, Invalid.
    """
    case = case_to_change(actor, Act.ANSWER_CHECKS, case_id)
    said = CheckAnswer(pk=record_id, case=case, key=key[:40], answer=answer)
    said.why = require_reason(why, field="why")
    there = recorded_before(said, assigned=("words",))
    if there is not None:
        return there
    outcome = queries.outcome_with_key(case, key)
    if outcome.rule.must and answer != Answered.CONFIRMED:
        access.require(actor, Act.WRITE_REPORT, case)
    require_answer(outcome, answer)
    said.words = outcome.sentence[:480]
    return save_new(actor, said)


def require_answer(outcome: Outcome, answer: str) -> None:
    """Refuse what cannot be said of a check as it stands. Raises Refused."""
    allowed = allowed_answers(outcome)
    if not allowed:
        raise Refused("This is not missing. Reload the checks of the case.")
    if answer not in allowed:
        why = REFUSED.get(Answered(answer)) if answer in list(Answered) else None
        raise Refused(why or "Choose one of the answers.", field="answer")


@action
def withdraw_answer(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
) -> CheckAnswer:
    """Take back what was said of a check. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case = case_to_change(actor, Act.ANSWER_CHECKS, case_id)
    CheckAnswer.objects.select_for_update().filter(pk=record_id, case=case).first()
    said = queries.one_answer(case, record_id)
    if said.answer == Answered.LEFT_OUT:
        access.require(actor, Act.WRITE_REPORT, case)
    return void(actor, said, version=version, reason=reason)


@action
def set_check_aside(
    actor: Staff, *, case_id: UUID, record_id: UUID, key: str, reason: str
) -> CheckSetAside:
    """Leave two places that do not agree as they are, with the reason.

    It comes back when either place changes. Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.ANSWER_CHECKS, case_id)
    aside = CheckSetAside(pk=record_id, case=case, key=key[:80], why=require_reason(reason))
    there = recorded_before(aside, assigned=("words", "rule"))
    if there is not None:
        return there
    alarm = queries.alarm_with_key(case, key)
    if alarm is None:
        raise Refused("This is no longer pointed out. Reload the checks of the case.")
    aside.words, aside.rule = alarm.words, alarm.rule
    return save_new(actor, aside)


@action
def point_out_check_again(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
) -> CheckSetAside:
    """Take back that it was set aside. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case = case_to_change(actor, Act.ANSWER_CHECKS, case_id)
    CheckSetAside.objects.select_for_update().filter(pk=record_id, case=case).first()
    aside = queries.one_set_aside(case, record_id)
    return void(actor, aside, version=version, reason=reason)


def _put(check: OfficeCheck, entry: Entry) -> None:
    set_fields(check, entry, (*OWN, "is_off") if check.is_own else ENTERED)


# In other words, more or less strictly, or not at all.
change_office_check = changes_own(
    "change_office_check", OfficeCheck, "check", _put, act=Act.KEEP_CHECKS, shipped=shipped
)


@action
def add_office_check(
    actor: Staff, *, record_id: UUID, entry: Entry, reason: str = ""
) -> OfficeCheck:
    """Add a check of the office's own, which a person confirms in each case it is asked in.

    Raises NotAllowed, Conflict, Invalid.
    """
    require_for_office(actor, Act.KEEP_CHECKS)
    made = OfficeCheck(pk=record_id, key=f"own-{record_id.hex}", is_own=True)
    set_fields(made, entry, OWN)
    return save_new(actor, made)


# It is asked again as it comes; one of the office's own is no longer asked.
withdraw_office_check = withdraws_own(
    "withdraw_office_check", OfficeCheck, "The office has not changed this check.",
    act=Act.KEEP_CHECKS,
)  # fmt: skip
