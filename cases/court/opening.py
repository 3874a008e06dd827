"""What an act on a request, or on a part of one, begins with: its case and itself, locked."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from cases.access import Act
from cases.actions.entry import called, case_to_change
from cases.court.models import RecordsRequest
from cases.court.queries import PartT, part_for_update, request_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.records import void


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
