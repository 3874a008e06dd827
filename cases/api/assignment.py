"""API: who works on a case, and who alone may see it."""

from __future__ import annotations

from cases import actions
from cases.api import serializers as shapes
from cases.api.shared import CASE, framed
from cases.queries import file
from me_office.shell.endpoints import adds, at, changes, lists

routes = [
    at(f"{CASE}/assignment/", "assignment",
       put=changes("case_assign", actions.assign_case, shapes.AssignmentInput, shapes.CaseOutput,
           "Assign one or both; `version` is the case's.")),
    at(f"{CASE}/restriction/", "restriction",
       post=changes("case_restrict", actions.restrict_case, shapes.RestrictInput,
           shapes.CaseOutput, "Restrict the case to a named team.")),
    at(f"{CASE}/restriction/lift/", "lift-restriction",
       post=changes("case_unrestrict", actions.unrestrict_case, shapes.ReasonInput,
           shapes.CaseOutput, "Open the case to all staff again.")),
    at(f"{CASE}/team/", "team",
       get=lists("team_list", framed("overview"), file.team_members, shapes.TeamMemberOutput,
           "Return who is on the team."),
       post=adds("team_member_add", actions.add_team_member, shapes.TeamMemberInput,
           shapes.TeamMemberOutput, "Add a person to the team.")),
    at(f"{CASE}/team/<uuid:record_id>/remove/", "remove-team-member",
       post=changes("team_member_remove", actions.remove_team_member, shapes.ReasonInput,
           shapes.TeamMemberOutput, "Take a person off the team, with the reason.")),
]  # fmt: skip
