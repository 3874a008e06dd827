"""Who works on a case, and who alone may see it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from uuid import UUID

from guardian.shortcuts import assign_perm, remove_perm

from cases import queries
from cases.access import Act
from cases.actions.entry import case_of, case_to_change, key_or_new, require_correction
from cases.models import Case, TeamMember
from cases.rules import intake as intake_rules
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)

ON_TEAM = "cases.work_on_case"
NEEDED_ROLE = {"investigator": Role.INVESTIGATOR, "pathologist": Role.PATHOLOGIST}


@action
def assign_case(
    actor: Staff,
    *,
    case_id: UUID,
    version: int,
    entry: Mapping[str, Staff | None],
    reason: str = "",
) -> Case:
    """Assign the investigator and the pathologist; `entry` names one or both, None takes away.

    `version` is the case's. Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.ASSIGN, case_id)
    require_version(case, version)
    team = queries.team_of(case) if case.restricted else frozenset()
    for part, role in NEEDED_ROLE.items():
        if part not in entry:
            continue
        person = entry[part]
        if person is not None and not person.has_role(role):
            raise Refused(f"{person} is no {role.value}.", field=part)
        if person is not None and case.restricted and person.pk not in team:
            raise Refused(
                f"This case is open to its named team only. Add {person} to the team first.",
                field=part,
            )
        setattr(case, part, person)
    return save_next_version(actor, case)


@action
def restrict_case(
    actor: Staff, *, case_id: UUID, version: int, members: Iterable[Staff] = (), reason: str
) -> Case:
    """Open a case to its named team only: the actor, those assigned, and `members`.

    `version` is the case's. Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.RESTRICT, case_id)
    require_correction(case, version, reason)
    if case.restricted:
        raise Refused("This case is already restricted.")
    case.restricted = True
    save_next_version(actor, case)
    named = {person.pk: person for person in (actor, case.investigator, case.pathologist, *members)
             if person is not None}  # fmt: skip
    for person in named.values():
        _join(actor, case, person, TeamMember(case=case, member=person))
    return case


@action
def unrestrict_case(actor: Staff, *, case_id: UUID, version: int, reason: str) -> Case:
    """Open a restricted case to the office's staff again; its team is dissolved.

    `version` is the case's. Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.RESTRICT, case_id)
    require_correction(case, version, reason)
    if not case.restricted:
        raise Refused("This case is not restricted.")
    case.restricted = False
    save_next_version(actor, case)
    for membership in queries.memberships_for_update(case):
        _leave(actor, case, membership, reason)
    return case


@action
def add_team_member(
    actor: Staff,
    *,
    case_id: UUID,
    member: Staff,
    record_id: UUID | None = None,
    reason: str = "",
) -> TeamMember:
    """Add a person to the team of a restricted case.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.RESTRICT, case_id)
    membership = TeamMember(pk=key_or_new(record_id), case=case, member=member)
    there = recorded_before(membership)
    if there is not None:
        return there
    if not case.restricted:
        raise Refused("This case is open to all staff. Restrict it to name a team.")
    if member.pk in queries.team_of(case):
        raise Refused(f"{member} is on the team.", field="member")
    return _join(actor, case, member, membership)


@action
def remove_team_member(
    actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
) -> TeamMember:
    """Remove a person from the team of a restricted case; `record_id` is the membership's.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.RESTRICT, case_of(TeamMember, record_id, within=case_id))
    memberships = queries.memberships_for_update(case)
    membership = TeamMember.objects.select_for_update().get(pk=record_id)
    require_version(membership, version)
    others = [one.member for one in memberships if one.pk != membership.pk]
    refused = intake_rules.why_not_off_team(
        is_assigned=membership.member_id in {case.investigator_id, case.pathologist_id},
        supervisors_left=sum(person.has_role(Role.SUPERVISOR) for person in others),
    )
    if refused:
        raise Refused(refused)
    return _leave(actor, case, membership, reason)


def _join(actor: Staff, case: Case, person: Staff, membership: TeamMember) -> TeamMember:
    if not person.is_active or not person.roles & CASE_ROLES:
        raise Refused(f"{person} has no access to case files.", field="member")
    assign_perm(ON_TEAM, person, case)
    return save_new(actor, membership)


def _leave(actor: Staff, case: Case, membership: TeamMember, reason: str) -> TeamMember:
    voided = void(actor, membership, reason=reason)
    remove_perm(ON_TEAM, membership.member, case)
    return voided
