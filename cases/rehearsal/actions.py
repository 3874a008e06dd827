"""Every change to own questions, and how an answer came."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.exhibits.queries import exhibit_of, set_of
from cases.rehearsal import queries
from cases.rehearsal.models import OwnQuestion, RehearsalMark
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import require_version, save_new, save_next_version
from me_office.entries import Entry

QUESTION_FIELDS = ("question", "answer")


@action
def add_own_question(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    record_id: UUID,
    entry: Entry,
    exhibit_id: UUID | None = None,
    reason: str = "",
) -> OwnQuestion:
    """Add a question that is expected on an exhibit, or on the set as a whole.

    `entry` holds QUESTION_FIELDS. Raises NotAllowed, NotKnown, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.REHEARSE, case_id)
    made = OwnQuestion(
        pk=record_id,
        case=case,
        exhibit_set=set_of(case, set_id),
        exhibit=exhibit_of(case, set_id, exhibit_id) if exhibit_id else None,
    )
    set_fields(made, entry, QUESTION_FIELDS)
    return save_new(actor, made)


@action
def change_own_question(
    actor: Staff, *, case_id: UUID, question_id: UUID, version: int, entry: Entry, reason: str = ""
) -> OwnQuestion:
    """Change an own question or its answer.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.REHEARSE, case_id)
    changed = queries.own_question_for_update(case, question_id)
    require_version(changed, version)
    if changed.is_voided:
        raise Refused("This question was withdrawn. Add it again if it is expected after all.")
    set_fields(changed, entry, QUESTION_FIELDS)
    return save_next_version(actor, changed)


withdraw_own_question = withdraws(
    "withdraw_own_question", Act.REHEARSE, queries.own_question_for_update, key="question_id"
)


@action
def mark_answer(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    record_id: UUID,
    question: str,
    outcome: str,
    exhibit_id: UUID | None = None,
    reason: str = "",
) -> RehearsalMark:
    """Note how the actor's own answer came.

    Raises NotAllowed, NotKnown, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.REHEARSE, case_id)
    made = RehearsalMark(
        pk=record_id,
        case=case,
        exhibit_set=set_of(case, set_id),
        exhibit=exhibit_of(case, set_id, exhibit_id) if exhibit_id else None,
        question=question,
        outcome=outcome,
    )
    return save_new(actor, made)
