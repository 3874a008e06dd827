"""Actions on counsel of a request, and on further cases that it asks for."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID, uuid5

from cases import access
from cases.access import Act
from cases.actions.entry import names_entered
from cases.court import queries
from cases.court.models import Counsel, RecordsRequest, RequestCase
from cases.court.opening import (
    records_part,
    request_to_change,
    require_not_withdrawn,
    withdraws_part,
)
from cases.models import Case
from cases.queries import case_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused
from me_office.audit.keys import OTHER_WORDS
from me_office.audit.records import recorded_before, save_new, void

COUNSEL_FIELDS = names_entered(Counsel)


# Counsel may come in after the answer. `entry` holds COUNSEL_FIELDS.
record_counsel = records_part(
    "record_counsel", Counsel, "counsel", COUNSEL_FIELDS, unless=require_not_withdrawn
)
# Counsel no longer appears, or was entered by mistake.
withdraw_counsel = withdraws_part("withdraw_counsel", Counsel, "counsel")


@action
def add_request_case(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    further_case: UUID,
    reason: str = "",
) -> RequestCase:
    """Note that an open request asks for a further case, which the person may handle, too.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    # Locked in one order, so that two people who tie two cases together never wait in a circle.
    locked = {key: case_for_update(key) for key in sorted({case_id, further_case})}
    # Without the answer of an earlier try: that is had once both were asked.
    own = access.decision_on(actor, Act.HANDLE_REQUEST, locked[case_id])
    if not own.known:
        raise NotKnown("There is no such case.")
    if not own.allowed:
        raise NotAllowed(own.why)
    access.require(actor, Act.HANDLE_REQUEST, locked[further_case])
    asked = queries.request_for_update(locked[case_id], request_id)
    return tie(actor, asked, locked[further_case], record_id)


def tie(actor: Staff, asked: RecordsRequest, other: Case, record_id: UUID) -> RequestCase:
    """Write that a request asks for another case. Raises Refused, Invalid, Conflict."""
    made = RequestCase(pk=record_id, case=other, request=asked)
    there = recorded_before(made)
    if there is not None:
        return there
    if other.pk == asked.case_id:
        raise Refused("The request is logged under this case already.", field="case_number")
    if not asked.is_open:
        raise Refused(f"The request is {asked.state} and can no longer be changed.")
    return save_new(actor, made, own_key=True)


def tie_first(actor: Staff, asked: RecordsRequest, others: Sequence[Case]) -> None:
    """Write the further cases that come with a request when it is logged. Raises as `tie`."""
    for other in others:
        tie(actor, asked, other, _first_key(asked, other.pk))


def require_same_cases(asked: RecordsRequest, others: Sequence[Case]) -> None:
    """Refuse a retry that names other cases than those that came first. Raises Conflict."""
    named = {_first_key(asked, other.pk) for other in others}
    tied = RequestCase.objects.filter(request=asked).values_list("pk", "case_id")
    if named != {key for key, case_id in tied if key == _first_key(asked, case_id)}:
        raise Conflict(OTHER_WORDS, record=asked)


def _first_key(asked: RecordsRequest, other: UUID) -> UUID:
    return uuid5(asked.pk, f"case {other}")


@action
def remove_request_case(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    reason: str,
) -> RequestCase:
    """Note that a request does not ask for a further case after all.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    asked = request_to_change(actor, case_id, request_id)
    tied = queries.further_case_for_update(actor, asked, record_id)
    return void(actor, tied, version=version, reason=reason)
