"""What keeps the answers of a case back: noted, lifted, settled for one request."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, refuse_wrong
from cases.court.queries import request_for_update
from cases.court.rules import RequestState
from cases.decisions import queries
from cases.decisions.actions.request import (
    end_standing_approval,
    request_to_decide,
    require_open,
)
from cases.decisions.models import Stop, StopSettled
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, known
from me_office.audit.fields import set_fields
from me_office.audit.records import VOIDING, recorded_before, save_new, void
from me_office.entries import Entry

STOP_FIELDS = ("kind", "why", "until")
SETTLED_FIELDS = ("words", "on_word_of")


@action
def note_stop(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> Stop:
    """Note what keeps answers of the case back. `entry`: STOP_FIELDS, `request_id` for one alone.

    Raises NotAllowed, NotKnown, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.DECIDE_RELEASE, case_id)
    made = Stop(pk=record_id, case=case)
    set_fields(made, entry, STOP_FIELDS)
    if entry.get("request_id"):
        made.request = request_for_update(case, entry["request_id"])
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    refuse_wrong({} if made.why else {"why": "Say why, and since when."})
    return save_new(actor, made, own_key=True)


@action
def lift_stop(actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str) -> Stop:
    """Lift what kept answers back, with the reason.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.DECIDE_RELEASE, case_id)
    rows = Stop.objects.select_for_update(of=("self",)).filter(case=case, pk=record_id)
    return void(actor, known(rows.first(), "stop"), version=version, reason=reason)


@action
def settle_stop(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    stop: str,
    entry: Entry,
    reason: str = "",
) -> StopSettled:
    """Decide that a stop does not keep this request's answer back. `entry`: SETTLED_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, _ = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    made = StopSettled(pk=record_id, case=asked.case, request=asked, stop=stop)
    set_fields(made, entry, SETTLED_FIELDS)
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    # An answer may be delivered once more after its request is answered.
    if asked.state == RequestState.WITHDRAWN:
        require_open(asked)
    standing = queries.standing_of(asked, actor)
    if stop not in {one.key for one in standing.stops}:
        raise NotKnown("There is no such stop for this request.")
    end_standing_approval(actor, asked)
    return save_new(actor, made, own_key=True)
