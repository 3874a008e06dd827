"""API: closing a case without a report, and opening it again."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.serializers import ReasonInput
from cases.api.shared import case_seen
from cases.review import closing
from cases.review.models import CaseClosing
from me_office.shell.api import REFUSALS, checked


class ClosingInput(serializers.ModelSerializer[CaseClosing]):
    """Why it is closed; `id` is made by the client, `version` is the case's."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=1)

    class Meta:
        model = CaseClosing
        fields = ("id", "version", *closing.CLOSING_NAMES)
        validators: list[Any] = []


class ClosingOutput(serializers.ModelSerializer[CaseClosing]):
    """How a case was closed, and opened again."""

    case_state = serializers.CharField(source="case.state")
    case_version = serializers.IntegerField(source="case.version")

    class Meta:
        model = CaseClosing
        fields = (
            "id", "version", *closing.CLOSING_NAMES, "closed_at", "reopened_at", "reopened_why",
            "case_state", "case_version",
        )  # fmt: skip


class Closings(APIView):
    """How one case was closed without a report."""

    @extend_schema(
        operation_id="closings_list", responses={200: ClosingOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the closings, the latest first."""
        case = case_seen(request, case_id, "closing")
        return Response(ClosingOutput(closing.closings_of(case), many=True).data)

    @extend_schema(
        operation_id="closings_close",
        request=ClosingInput,
        responses={201: ClosingOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Close the case; the same id again returns the same closing."""
        said = checked(ClosingInput, request)
        made = closing.close_case(
            request.user, case_id=case_id, record_id=said.pop("id"), version=said.pop("version"),
            entry=said,
        )  # fmt: skip
        return Response(ClosingOutput(made).data, status=201)


class Reopening(APIView):
    """Opens a closed case again."""

    @extend_schema(
        operation_id="closings_reopen",
        request=ReasonInput,
        responses={200: ClosingOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Open it again; `version` is that of the closing."""
        said = checked(ReasonInput, request)
        return Response(
            ClosingOutput(closing.reopen_case(request.user, case_id=case_id, **said)).data
        )
