"""Which records a demand reaches."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.court.queries import part_for_update
from cases.decisions import queries
from cases.decisions.actions.request import (
    case_of,
    end_standing_approval,
    request_to_decide,
    require_open,
)
from cases.decisions.models import Reach
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import VOIDING, recorded_before, require_version, save_new, void
from me_office.entries import Entry

REACH_FIELDS = ("kind", "first", "last", "words")


@action
def reach_records(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Reach:
    """Say that a demand reaches records of a kind. `entry` holds REACH_FIELDS and `of_case`.

    `first` and `last` are numbers of the log; `words` name what the record does not keep.
    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    case = case_of(actor, Act.DECIDE_RELEASE, cases, entry.get("of_case") or case_id)
    made = Reach(pk=record_id, case=case, request=asked, demand=demand)
    set_fields(made, entry, REACH_FIELDS)
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    require_open(asked)
    if demand.kind != queries.ASKS_RECORDS:
        raise Refused("This demand asks for no records.")
    end_standing_approval(actor, asked)
    return save_new(actor, made, own_key=True)


@action
def leave_out_records(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    reason: str,
) -> Reach:
    """Take back that a demand reaches some records; what was decided about them is kept.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    asked, _ = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    reach = part_for_update(Reach, asked, record_id, "choice")
    require_version(reach, version)
    require_open(asked)
    end_standing_approval(actor, asked)
    return void(actor, reach, reason=reason)
