"""The office's own lists: grounds to keep back, and the rules of proposals."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import refuse_wrong, require_for_office
from cases.actions.office import adds_to_office, locked_of_office
from cases.court.rules import RequestState
from cases.decisions.models import Ground, ItemDecision, ProposalRule
from cases.decisions.proposal_rules import RULES_BY_KEY
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused, known_of_office
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

GROUND_FIELDS = ("number", "words", "citation", "approved_by", "approved_on")


def _wrong_in_ground(ground: Ground) -> dict[str, str]:
    wrong = {}
    if ground.approved_on and not ground.approved_by:
        wrong["approved_by"] = "Say who approved it."
    if ground.approved_by and not ground.approved_on:
        wrong["approved_on"] = "Say on which day it was approved."
    if ground.approved_on and ground.approved_on > timezone.localdate():
        wrong["approved_on"] = "The day of approval cannot be in the future."
    return wrong


def _put(ground: Ground, entry: Entry) -> None:
    set_fields(ground, entry, GROUND_FIELDS)
    refuse_wrong(_wrong_in_ground(ground))


add_ground = adds_to_office("add_ground", Ground, _put, act=Act.KEEP_CLERK_LISTS)


@action
def replace_ground(
    actor: Staff, *, ground_id: UUID, record_id: UUID, version: int, entry: Entry, reason: str
) -> Ground:
    """Put another wording in the place of a ground, under the same number.

    What was decided on the earlier one goes on saying it. Raises NotAllowed, NotKnown,
    StaleRecord, Refused, Invalid, Conflict.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    earlier = locked_of_office(Ground, ground_id, "ground")
    made = Ground(pk=record_id, number=earlier.number)
    set_fields(made, entry, tuple(name for name in GROUND_FIELDS if name != "number"))
    there = recorded_before(made)
    if there is not None:
        return there
    refuse_wrong(_wrong_in_ground(made))
    void(actor, earlier, version=version, reason=reason)
    saved = save_new(actor, made, own_key=True)
    for rule in ProposalRule.objects.active().select_for_update().filter(ground=earlier):
        rule.ground = saved
        save_next_version(actor, rule)
    return saved


@action
def withdraw_ground(actor: Staff, *, record_id: UUID, version: int, reason: str) -> Ground:
    """Take a ground out of the list, unless a decision of an open request rests on it.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    ground = locked_of_office(Ground, record_id, "ground")
    used = ItemDecision.objects.active().filter(
        ground=ground, request__state=RequestState.OPEN.value
    )
    if used.exists():
        raise Refused("Decisions of an open request rest on it. Replace it instead.")
    if ProposalRule.objects.active().filter(ground=ground).exists():
        raise Refused("A rule proposes it. Name another ground there first.")
    return void(actor, ground, version=version, reason=reason)


@action
def set_proposal_rule(
    actor: Staff, *, key: str, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> ProposalRule:
    """Switch a rule of proposals on or off, or name its ground. `entry`: is_on, ground.

    Version 0 where the office never changed it. Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    rule = known_of_office(RULES_BY_KEY.get(key), "rule")
    rows = ProposalRule.objects.active().select_for_update(of=("self",)).filter(key=key)
    standing = rows.first()
    if standing is None:
        if version:
            raise NotKnown("There is no such record.")
        standing = ProposalRule(pk=record_id, key=key)
    elif not version and standing.pk == record_id:
        # The first change of it, sent once more.
        first = ProposalRule(pk=record_id, key=key)
        set_fields(first, entry, ("is_on", "ground"))
        return recorded_before(first) or standing
    else:
        require_version(standing, version)
    set_fields(standing, entry, ("is_on", "ground"))
    if not standing.is_on and not rule.may_be_off:
        raise Refused("This rule is always used.", field="is_on")
    if standing.ground is not None and standing.ground.is_voided:
        raise Refused("This ground is no longer in the list. Choose another.", field="ground")
    if version:
        return save_next_version(actor, standing)
    return save_new(actor, standing)
