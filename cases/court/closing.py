"""Closing a request that is answered without a packet, and what other rooms say against it."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change, names_entered
from cases.court import queries
from cases.court.models import Closing, RecordsRequest
from cases.court.rules import RequestState, can_move, wrong_in_closing
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, require_version, save_new, save_next_version
from me_office.entries import Entry

CLOSING_FIELDS = names_entered(Closing)
WhyNot = Callable[[RecordsRequest], str]
_AGAINST: list[WhyNot] = []


def speaks_against(why_not: WhyNot) -> None:
    """Add what may say why a request cannot be closed without a packet; nothing lets it be."""
    _AGAINST.append(why_not)


def why_not_closed(asked: RecordsRequest) -> str:
    """Say why a request cannot be closed without a packet, or nothing when it can."""
    if not can_move(RequestState(asked.state), RequestState.ANSWERED):
        return f"The request is {asked.state} already."
    return next((words for say in _AGAINST if (words := say(asked))), "")


@action
def answer_without_packet(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Closing:
    """Record that a request is answered and no packet goes out for it: testimony, or a letter.

    `version` is the request's, `entry` holds CLOSING_FIELDS. Raises NotAllowed, NotKnown,
    StaleRecord, Refused, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    asked = queries.request_for_update(case, request_id)
    record = Closing(pk=record_id, case=case, request=asked)
    set_fields(record, entry, CLOSING_FIELDS)
    there = recorded_before(record)
    if there is not None:
        return there
    require_version(asked, version)
    why_not = why_not_closed(asked)
    if why_not:
        raise Refused(why_not)
    if wrong := wrong_in_closing(
        record.answered_on, served_on=asked.served_on, today=timezone.localdate()
    ):
        raise Invalid(wrong)
    save_new(actor, record, own_key=True)
    asked.state = RequestState.ANSWERED.value
    save_next_version(actor, asked)
    return record
