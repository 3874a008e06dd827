"""Endpoints of specimens and property."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.specimens import actions, queries
from evidence.specimens import serializers as s
from me_office.shell.api import REFUSALS, checked, version_and_reason


class SpecimensView(APIView):
    """Specimens of a case."""

    @extend_schema(
        operation_id="specimen_list", responses={200: s.SpecimenSerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the specimens by item number."""
        case = case_seen(request, case_id, "specimens")
        return Response(s.SpecimenSerializer(queries.specimens_of(case), many=True).data)

    @extend_schema(
        operation_id="specimen_take",
        request=s.NewSpecimenSerializer,
        responses={201: s.SpecimenSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Take a specimen with its seal and its first transfer."""
        body = checked(s.NewSpecimenSerializer, request)
        record_id, reason = body.pop("id"), body.pop("reason", "")
        specimen = actions.take_specimen(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=record_id,
            entry=body,
            reason=reason,
        )
        return Response(s.SpecimenSerializer(specimen).data, status=status.HTTP_201_CREATED)


class ReceivedSpecimensView(APIView):
    """Specimens that others took."""

    @extend_schema(
        operation_id="specimen_receive",
        request=s.ReceivedSpecimenSerializer,
        responses={201: s.SpecimenSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Receive a specimen that a hospital or others took."""
        body = checked(s.ReceivedSpecimenSerializer, request)
        specimen = actions.receive_specimen(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body.pop("id"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(s.SpecimenSerializer(specimen).data, status=status.HTTP_201_CREATED)


class SpecimenView(APIView):
    """One specimen."""

    @extend_schema(
        operation_id="specimen_describe",
        request=s.SpecimenChangeSerializer,
        responses={200: s.SpecimenSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, specimen_id: UUID) -> Response:
        """Correct what is said about a specimen; only the fields sent change."""
        body = checked(s.SpecimenChangeSerializer, request)
        kept = version_and_reason(body)
        specimen = actions.describe_specimen(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            specimen_id=specimen_id,
            entry=body,
            **kept,
        )
        return Response(s.SpecimenSerializer(specimen).data)


class SpecimenVoidView(APIView):
    """Withdrawing a specimen."""

    @extend_schema(
        operation_id="specimen_void",
        request=EvidenceVoidSerializer,
        responses={200: s.SpecimenSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, specimen_id: UUID) -> Response:
        """Withdraw a specimen; seals and transfers stay on record."""
        body = checked(EvidenceVoidSerializer, request)
        specimen = actions.void_specimen(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            specimen_id=specimen_id,
            **body,
        )
        return Response(s.SpecimenSerializer(specimen).data)
