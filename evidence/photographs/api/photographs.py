"""Endpoints of photographs and of what they show."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.photographs import actions, queries
from evidence.photographs import serializers as s
from me_office.shell.api import REFUSALS, checked, version_and_reason


class PhotographsView(APIView):
    """The photograph log."""

    @extend_schema(
        operation_id="photograph_list",
        responses={200: s.PhotographSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the standing photographs by number."""
        case = case_seen(request, case_id, "photographs")
        return Response(s.PhotographSerializer(queries.photograph_log(case), many=True).data)


class PhotographView(APIView):
    """One photograph."""

    @extend_schema(
        operation_id="photograph_read", responses={200: s.PhotographSerializer, **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Read a photograph's line in the log."""
        case = case_seen(request, case_id, "photographs")
        return Response(s.PhotographSerializer(queries.photograph_of(case, photograph_id)).data)

    @extend_schema(
        operation_id="photograph_describe",
        request=s.PhotographChangeSerializer,
        responses={200: s.PhotographSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Change a photograph's line; only the fields sent change."""
        body = checked(s.PhotographChangeSerializer, request)
        kept = version_and_reason(body)
        photograph = actions.describe_photograph(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            photograph_id=photograph_id,
            entry=body,
            **kept,
        )
        return Response(s.PhotographSerializer(photograph).data)


class PhotographVoidView(APIView):
    """Withdrawing a photograph."""

    @extend_schema(
        operation_id="photograph_void",
        request=EvidenceVoidSerializer,
        responses={200: s.PhotographSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Withdraw a photograph; its file stays in the store."""
        body = checked(EvidenceVoidSerializer, request)
        photograph = actions.void_photograph(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            photograph_id=photograph_id,
            **body,
        )
        return Response(s.PhotographSerializer(photograph).data)


class PhotographLinksView(APIView):
    """What a photograph shows."""

    @extend_schema(
        operation_id="photograph_link_finding",
        request=s.NewPhotographLinkSerializer,
        responses={201: s.PhotographLinkSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Say that a photograph shows a finding."""
        body = checked(s.NewPhotographLinkSerializer, request)
        link = actions.link_finding(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body["id"],
            photograph_id=photograph_id,
            finding_id=body["finding"],
        )
        return Response(s.PhotographLinkSerializer(link).data, status=status.HTTP_201_CREATED)


class PhotographLinkVoidView(APIView):
    """Withdrawing a link."""

    @extend_schema(
        operation_id="photograph_unlink_finding",
        request=EvidenceVoidSerializer,
        responses={200: s.PhotographLinkSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, link_id: UUID) -> Response:
        """Withdraw the statement that a photograph shows a finding."""
        body = checked(EvidenceVoidSerializer, request)
        link = actions.unlink_finding(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            link_id=link_id,
            **body,
        )
        return Response(s.PhotographLinkSerializer(link).data)
