"""The second person's approval of exactly what was decided."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act, require
from cases.court.opening import withdraws_part
from cases.decisions import queries
from cases.decisions.actions.request import (
    end_standing_approval,
    request_to_decide,
)
from cases.decisions.models import Approval
from cases.decisions.queries import Standing
from cases.decisions.rules import why_not_approved
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.fields import entered, set_fields
from me_office.audit.records import save_new
from me_office.entries import Entry


@action
def approve_release(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    digest: str,
    entry: Entry,
    reason: str = "",
) -> Approval:
    """Approve, as the second person, exactly what was read; `digest` is that of the decisions.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = request_to_decide(actor, Act.APPROVE_RELEASE, case_id, request_id)
    there = Approval.objects.filter(pk=record_id).first()
    if there is not None:
        note = entered(Approval, entry, ("note",)).get("note", there.note)
        if (there.request_id, there.digest, there.note) != (asked.pk, digest, note):
            raise Conflict("A record with this key has different content.")
        return there
    standing: Standing = queries.standing_of(asked, actor)
    if standing.is_approved:
        raise Refused("This was approved already.")
    why_not = why_not_approved(
        lacks=standing.lacking,
        read=digest,
        now=standing.digest,
        approver=actor.pk,
        deciders=standing.deciders,
    )
    if why_not:
        raise Refused(why_not)
    for case in cases.values():
        require(actor, Act.APPROVE_RELEASE, case)
    end_standing_approval(actor, asked)
    made = Approval(
        pk=record_id, case=asked.case, request=asked, digest=digest, items=len(standing.decided)
    )
    set_fields(made, entry, ("note",))
    return save_new(actor, made, own_key=True)


end_approval = withdraws_part("end_approval", Approval, "approval", act=Act.APPROVE_RELEASE)
