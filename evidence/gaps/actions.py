"""Setting aside what is pointed out, and pointing it out again."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.models import Case
from evidence.gaps import queries
from evidence.gaps.models import SetAside
from evidence.gaps.queries import gaps_and_proposals
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import recorded_before, require_reason, save_new


def words_of(case: Case, key: str) -> str:
    """Return what is pointed out under a key now, in a sentence. Raises Refused."""
    gaps, proposals = gaps_and_proposals(case)
    said = {one.key: one.words for one in gaps}
    for proposal in proposals:
        numbers = ", ".join(str(shot.number) for shot in proposal.shots)
        said[proposal.key] = f"Proposed series {proposal.title}: photographs {numbers}."[:240]
    if key not in said:
        raise Refused("This is no longer pointed out. Reload the photograph log.")
    return said[key]


@action
def set_aside(actor: Staff, *, case_id: UUID, record_id: UUID, key: str, reason: str) -> SetAside:
    """Leave a missing picture or a proposed series as it is, with the reason.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    aside = SetAside(pk=record_id, case=case, key=key[:80], why=require_reason(reason))
    there = recorded_before(aside, assigned=("words",))
    if there is not None:
        return there
    aside.words = words_of(case, key)
    return save_new(actor, aside)


def _aside_for_update(case: Case, record_id: UUID) -> SetAside:
    SetAside.objects.select_for_update().filter(pk=record_id, case=case).first()
    return queries.one_set_aside(case, record_id)


point_out_again = withdraws("point_out_again", Act.PHOTOGRAPH, _aside_for_update, key="record_id")
