"""Actions on the original of a request: attached, replaced, withdrawn."""

from __future__ import annotations

from uuid import UUID

from cases.court import queries
from cases.court.models import Original
from cases.court.opening import request_to_change
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.records import require_reason, save_new, void


@action
def attach_original(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    incoming: Incoming,
    pages: int,
    reason: str = "",
) -> Original:
    """Attach the paper of a request; one that stands is withdrawn with the reason, and stays kept.

    Raises NotAllowed, NotKnown, Refused, Conflict, Invalid.
    """
    asked = request_to_change(actor, case_id, request_id)
    there = Original.objects.select_related("file").filter(pk=record_id).first()
    if there is not None:
        if there.request_id != asked.pk or there.file.sha256 != incoming.sha256:
            raise Conflict("A record with this key has different content.")
        return there
    if asked.is_voided:
        raise Refused("The request is withdrawn; nothing is added to it.")
    stands = queries.original_for_update(asked)
    if stands is not None:
        if stands.file.sha256 == incoming.sha256:
            raise Refused("This file is attached already.", field="upload")
        void(actor, stands, reason=require_reason(reason))
    made = Original(
        pk=record_id, case=asked.case, request=asked, file_name=incoming.name[-200:], pages=pages
    )
    with store.kept(incoming) as made.file:
        return save_new(actor, made, own_key=True)
