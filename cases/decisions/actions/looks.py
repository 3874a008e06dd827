"""What a named person is asked to look at before a request is decided."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act, may_somewhere, people_who_may_see
from cases.actions.entry import refuse_wrong
from cases.court.opening import withdraws_part
from cases.court.queries import part_for_update
from cases.decisions import queries
from cases.decisions.actions.items import as_picked
from cases.decisions.actions.request import (
    end_standing_approval,
    request_to_decide,
    require_open,
)
from cases.decisions.models import LookAsked
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry


@action
def ask_to_look(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> LookAsked:
    """Ask a named person to look. `entry`: asked_of, words; item (Picked) for one item alone.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, _ = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    made = LookAsked(pk=record_id, case=asked.case, request=asked, demand=demand)
    set_fields(made, entry, ("asked_of", "words"))
    if entry.get("item"):
        one = as_picked(entry["item"])
        made.kind, made.item = one.kind, one.item
        rows = {row.item.name: row for row in queries.standing_of(asked, actor).rows[demand.pk]}
        row = rows.get(one.name)
        if row is None:
            raise Refused("This item is not among those that the demand reaches.")
        made.label = f"{row.item.number} {row.item.label}".strip()[:240]
    there = recorded_before(made, assigned=("answer", "answered_at", "answered_by", *VOIDING))
    if there is not None:
        return there
    require_open(asked)
    if made.asked_of_id and not people_who_may_see(asked.case).filter(pk=made.asked_of_id).exists():
        raise Refused("This person may not see the case.", field="asked_of")
    if made.asked_of_id and not may_somewhere(made.asked_of, Act.APPROVE_RELEASE):
        raise Refused("This person could not answer here. Ask another.", field="asked_of")
    end_standing_approval(actor, asked)
    return save_new(actor, made, own_key=True)


@action
def answer_look(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> LookAsked:
    """Answer what one was asked to look at; nobody answers for another. `entry`: answer.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    asked, _ = request_to_decide(actor, Act.APPROVE_RELEASE, case_id, request_id)
    look = part_for_update(LookAsked, asked, record_id, "question")
    require_version(look, version)
    if look.is_voided or look.answered_at:
        raise Refused("This question no longer waits for an answer.")
    if look.asked_of_id != actor.pk:
        raise Refused(f"{look.asked_of} was asked, and answers in person.")
    set_fields(look, entry, ("answer",))
    refuse_wrong({} if look.answer else {"answer": "Say what you found."})
    look.answered_at, look.answered_by = timezone.now(), actor
    return save_next_version(actor, look)


withdraw_look = withdraws_part("withdraw_look", LookAsked, "question", act=Act.DECIDE_RELEASE)
