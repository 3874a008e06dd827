"""Logging, changing, withdrawing and answering requests for a case's records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong
from cases.court import counseling, counted, demanding
from cases.court.models import RecordsRequest, Release
from cases.court.opening import request_to_change
from cases.court.rules import (
    PacketFacts,
    RequestState,
    can_move,
    why_not_at,
    why_not_left,
    why_not_released,
    wrong_in_request,
)
from cases.queries import case_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

REQUEST_FIELDS = (
    "kind",
    "court",
    "cause_number",
    "party",
    "contact",
    "served_on",
    "due_on",
    "asks_for",
    "wants",
    "asked_under",
    "served_how",
    "served_on_whom",
)
RELEASE_FIELDS = (
    *("released_to", "method", "released_at", "released_by", "note"),
    *("answers", "still_due"),
)


@action
def log_request(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    demands: Sequence[Mapping[str, object]] = (),
    further: Sequence[UUID] = (),
    counting: Mapping[str, object] | None = None,
    reason: str = "",
) -> RecordsRequest:
    """Log a subpoena, court order or records request. `entry` holds REQUEST_FIELDS.

    `demands` are what it asks for, thing by thing (DEMAND_FIELDS each), numbered as they come,
    `further` other cases that it asks for and that the person may handle, too. `counting`
    (COUNTING_FIELDS), where the due day is counted by a rule from the day of service.
    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    # Locked in one order, so that two people who tie two cases together never wait in a circle.
    locked = {key: case_for_update(key) for key in sorted({case_id, *further})}
    others = [locked[key] for key in further]
    for other in others:
        decision = access.decision_on(actor, Act.HANDLE_REQUEST, other)
        if not decision.known:
            raise NotKnown("There is no such case.")
    case = locked[case_id]
    access.require(actor, Act.HANDLE_REQUEST, case)
    asked = RecordsRequest(pk=record_id, case=case)
    set_fields(asked, entry, REQUEST_FIELDS)
    # A retry may come after the request was answered: its state is the office's, not the sender's.
    later = ("state", *VOIDING, "due_basis", "stopped_since")
    # A day that is counted is the office's, too; by what it is counted is compared below.
    there = recorded_before(asked, assigned=(*later, "due_on") if counting else later)
    if there is not None:
        demanding.require_same(there, demands)
        counseling.require_same_cases(there, others)
        counted.keeper().require_same(there, counting)
        return there
    _check(asked)
    save_new(actor, asked, own_key=True)
    demanding.number_first(actor, asked, demands)
    counseling.tie_first(actor, asked, others)
    return counted.keeper().keep_first(actor, asked, counting) if counting else asked


@action
def change_request(
    actor: Staff, *, case_id: UUID, request_id: UUID, version: int, entry: Entry, reason: str
) -> RecordsRequest:
    """Correct an open request. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid."""
    asked = request_to_change(actor, case_id, request_id)
    require_version(asked, version)
    _require_open(asked)
    require_reason(reason)
    due_on = asked.due_on
    set_fields(asked, entry, REQUEST_FIELDS)
    if asked.due_on != due_on:
        asked.due_basis = "entered"
    _check(asked)
    return save_next_version(actor, asked)


@action
def withdraw_request(
    actor: Staff, *, case_id: UUID, request_id: UUID, version: int, reason: str
) -> RecordsRequest:
    """Note that a request no longer needs an answer: withdrawn by the party, quashed, mistaken.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    asked = request_to_change(actor, case_id, request_id)
    require_version(asked, version)
    _move(asked, RequestState.WITHDRAWN)
    return void(actor, asked, reason=reason)


@action
def record_release(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    packet: PacketFacts,
    entry: Entry,
    reason: str = "",
) -> Release:
    """Record that a built packet was handed over; the request is answered with it, or in part.

    `version` is the request's. `entry` holds RELEASE_FIELDS; a request that is answered in part
    stays open.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid, Conflict.
    """
    asked = request_to_change(actor, case_id, request_id, act=Act.RELEASE)
    release = Release(
        pk=record_id,
        case=asked.case,
        request=asked,
        packet_id=packet.packet_id,
        packet_sha256=packet.sha256,
        **{name: entry[name] for name in RELEASE_FIELDS if name in entry},
    )
    there = recorded_before(release)
    if there is not None:
        return there
    require_version(asked, version)
    state = RequestState(asked.state)
    why_not = why_not_released(packet, case_id=case_id, request_id=asked.pk, state=state)
    if why_not:
        raise Refused(why_not)
    why_not = why_not_at(release.released_at, built_at=packet.built_at, now=timezone.now())
    if why_not:
        raise Refused(why_not, field="released_at")
    why_not = why_not_left(release.answers, release.still_due)
    if why_not:
        raise Refused(why_not, field="still_due")
    save_new(actor, release)
    if release.answers == "whole":
        _move(asked, RequestState.ANSWERED)
    save_next_version(actor, asked)
    return release


def _check(asked: RecordsRequest) -> None:
    refuse_wrong(wrong_in_request(said_of(asked, REQUEST_FIELDS), timezone.localdate()))


def _require_open(asked: RecordsRequest) -> None:
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state} and can no longer be changed.")


def _move(asked: RecordsRequest, to: RequestState) -> None:
    now = RequestState(asked.state)
    if not can_move(now, to):
        raise Refused(f"A request that is {now} cannot become {to}.")
    asked.state = to.value
