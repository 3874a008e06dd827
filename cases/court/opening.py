"""What an act on a request, or on a part of one, begins with: its case and itself, locked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import UUID

from cases.access import Act
from cases.actions.entry import called, case_to_change, require_correction, save_as
from cases.court.models import RecordsRequest
from cases.court.queries import PartT, part_for_update, request_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, void
from me_office.entries import Entry


def request_to_change(
    actor: Staff, case_id: UUID, request_id: UUID, *, act: Act = Act.HANDLE_REQUEST
) -> RecordsRequest:
    """Return the request with its case, both locked, for who may do this.

    Raises NotAllowed, NotKnown.
    """
    case = case_to_change(actor, act, case_id)
    asked = request_for_update(case, request_id)
    asked.case = case
    return asked


def require_not_withdrawn(asked: RecordsRequest, is_new: bool = True) -> None:
    """Refuse to add to a request that was withdrawn; what it has is still corrected."""
    if is_new and asked.is_voided:
        raise Refused("The request is withdrawn; nothing is added to it.")


def records_part(
    name: str,
    model: type[PartT],
    named: str,
    fields: tuple[str, ...],
    *,
    unless: Callable[[RecordsRequest, bool], None],
    check: Callable[[PartT], None] | None = None,
    given: Callable[[RecordsRequest], Mapping[str, object]] | None = None,
) -> Callable[..., PartT]:
    """Return the action `name` that adds a part to a request, or corrects one, with the reason.

    `named` is what a part is called where there is none of this key, `fields` are what a person
    enters. `unless` refuses what the request, as it stands, no longer takes, new or corrected;
    `given` returns what the office fills in of a new one. Version 0 adds. Raises NotAllowed,
    NotKnown, StaleRecord, Refused, Invalid, Conflict.
    """

    def record(
        actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int = 0,
        entry: Entry, reason: str = "",
    ) -> PartT:  # fmt: skip
        asked = request_to_change(actor, case_id, request_id)
        is_new = version == 0
        if is_new:
            part = model(pk=record_id, case=asked.case, **{"request": asked})
        else:
            part = part_for_update(model, asked, record_id, named)
            require_correction(part, version, reason)
        set_fields(part, entry, fields)
        own = given(asked) if is_new and given else {}
        # A retry may come after somebody corrected it: then it is a conflict.
        there = recorded_before(part, assigned=tuple(own)) if is_new else None
        if there is not None:
            return there
        unless(asked, is_new)
        if check:
            check(part)
        for field, value in own.items():
            setattr(part, field, value)
        return save_as(actor, part, version)

    return action(called(name, record))


def withdraws_part(
    name: str,
    model: type[PartT],
    named: str,
    *,
    act: Act = Act.HANDLE_REQUEST,
    unless: Callable[[RecordsRequest], None] | None = None,
) -> Callable[..., PartT]:
    """Return the action `name` that withdraws a part of a request.

    `named` is what a part is called where there is none of this key; `unless` refuses what the
    request, as it stands, no longer lets go. Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """

    def withdraw(
        actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int, reason: str
    ) -> PartT:
        asked = request_to_change(actor, case_id, request_id, act=act)
        part = part_for_update(model, asked, record_id, named)
        if unless:
            unless(asked)
        return void(actor, part, version=version, reason=reason)

    return action(called(name, withdraw))
