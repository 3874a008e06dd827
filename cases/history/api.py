"""API of the history."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.course import case_frame
from me_office.accounts.requests import StaffApiRequest
from me_office.audit import queries
from me_office.shell.api import ErrorSerializer


class ChangeOutput(serializers.Serializer[Any]):
    """One field: what it said before, and what it says since."""

    field = serializers.CharField()
    was = serializers.CharField()
    becomes = serializers.CharField()


class PartOutput(serializers.Serializer[Any]):
    """What happened to one record within an act."""

    what = serializers.CharField()
    operation = serializers.CharField()
    record_id = serializers.CharField()
    changes = ChangeOutput(many=True)


# The name in the API's schema stays.
@extend_schema_serializer(component_name="ToldOutput")
class HistoryEntryOutput(serializers.Serializer[Any]):
    """One act of one person."""

    at = serializers.DateTimeField()
    who = serializers.CharField(help_text="Empty where it was made automatically")
    roles = serializers.CharField()
    what = serializers.CharField()
    reason = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    parts = PartOutput(many=True)


class HistoryOutput(serializers.Serializer[Any]):
    """A page of a case's story, newest first; `next_before` is the key of the next page."""

    acts = HistoryEntryOutput(many=True)
    next_before = serializers.CharField(allow_null=True)


class CaseHistory(APIView):
    """The story of one case."""

    @extend_schema(
        operation_id="case_history",
        parameters=[OpenApiParameter("before", str, required=False)],
        responses={200: HistoryOutput, 403: ErrorSerializer, 404: ErrorSerializer},
    )
    def get(self, request: StaffApiRequest, case_id: UUID) -> Response:
        """Return who did what, when and why, with old and new values."""
        case_frame(request.user, case_id, current="history")
        before = queries.key_in(request.query_params.get("before", ""))
        return Response(HistoryOutput(queries.case_history(case_id, before=before)).data)
