"""API: who works on a case, and who alone may see it."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import actions
from cases.api import serializers as shapes
from cases.course import case_frame
from cases.queries import file
from me_office.shell.api import REFUSALS, checked


class Assignment(APIView):
    """The investigator and the pathologist of one case."""

    @extend_schema(
        operation_id="case_assign",
        request=shapes.AssignmentInput,
        responses={200: shapes.CaseOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID) -> Response:
        """Assign one or both; `version` is the case's."""
        said = checked(shapes.AssignmentInput, request)
        saved = actions.assign_case(
            request.user,
            case_id=case_id,
            version=said.pop("version"),
            reason=said.pop("reason"),
            entry=said,
        )
        return Response(shapes.CaseOutput(saved).data)


class Restriction(APIView):
    """Open to a named team only."""

    @extend_schema(
        operation_id="case_restrict",
        request=shapes.RestrictInput,
        responses={200: shapes.CaseOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Restrict the case to a named team."""
        said = checked(shapes.RestrictInput, request)
        saved = actions.restrict_case(request.user, case_id=case_id, **said)
        return Response(shapes.CaseOutput(saved).data)


class RestrictionLifted(APIView):
    """Open to all staff again."""

    @extend_schema(
        operation_id="case_unrestrict",
        request=shapes.ReasonInput,
        responses={200: shapes.CaseOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Open the case to all staff again."""
        said = checked(shapes.ReasonInput, request)
        saved = actions.unrestrict_case(request.user, case_id=case_id, **said)
        return Response(shapes.CaseOutput(saved).data)


class Team(APIView):
    """The named team of a restricted case."""

    @extend_schema(
        operation_id="team_list", responses={200: shapes.TeamMemberOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return who is on the team."""
        frame = case_frame(request.user, case_id, current="overview")
        return Response(shapes.TeamMemberOutput(file.team_members(frame.case), many=True).data)

    @extend_schema(
        operation_id="team_member_add",
        request=shapes.TeamMemberInput,
        responses={201: shapes.TeamMemberOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Add a person to the team."""
        said = checked(shapes.TeamMemberInput, request)
        key = said.pop("id")
        added = actions.add_team_member(request.user, case_id=case_id, record_id=key, **said)
        return Response(shapes.TeamMemberOutput(added).data, status=201)


class TeamMemberRemoved(APIView):
    """A person off the team."""

    @extend_schema(
        operation_id="team_member_remove",
        request=shapes.ReasonInput,
        responses={200: shapes.TeamMemberOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
        """Take a person off the team, with the reason."""
        said = checked(shapes.ReasonInput, request)
        removed = actions.remove_team_member(request.user, record_id=record_id, **said)
        return Response(shapes.TeamMemberOutput(removed).data)
