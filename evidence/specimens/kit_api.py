"""Endpoints of kits and trays."""

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
from me_office.shell.api import REFUSALS, checked


class KitsView(APIView):
    """Kits and trays of a case."""

    @extend_schema(operation_id="kit_list", responses={200: s.KitSerializer(many=True), **REFUSALS})
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the kits and trays by item number."""
        case = case_seen(request, case_id, "specimens")
        return Response(s.KitSerializer(queries.kits_of(case), many=True).data)

    @extend_schema(
        operation_id="kit_record",
        request=s.NewKitSerializer,
        responses={201: s.KitSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record a kit or tray with its parts under one seal."""
        body = checked(s.NewKitSerializer, request)
        kit = actions.record_kit(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body.pop("id"),
            parts=body.pop("parts"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(s.KitSerializer(kit).data, status=status.HTTP_201_CREATED)


class KitVoidView(APIView):
    """Withdrawing a kit or tray."""

    @extend_schema(
        operation_id="kit_void",
        request=EvidenceVoidSerializer,
        responses={200: s.KitSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, kit_id: UUID) -> Response:
        """Withdraw a kit with its parts; seals and transfers stay on record."""
        body = checked(EvidenceVoidSerializer, request)
        kit = actions.void_kit(request.user, case_id=case_id, kit_id=kit_id, **body)  # type: ignore[arg-type]
        return Response(s.KitSerializer(kit).data)


class PartMoveView(APIView):
    """A part that was recorded in the wrong kit."""

    @extend_schema(
        operation_id="kit_part_move",
        request=s.PartMoveSerializer,
        responses={200: s.SpecimenSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, specimen_id: UUID) -> Response:
        """Put a part into the kit that it is in; how it was recorded stays on record."""
        body = checked(s.PartMoveSerializer, request)
        kit_id = body.pop("kit")
        done = actions.move_part(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            specimen_id=specimen_id,
            kit_id=kit_id,
            **body,
        )
        return Response(s.SpecimenSerializer(done).data)


class PartOutView(APIView):
    """A part that was never in its kit."""

    @extend_schema(
        operation_id="kit_part_take_out",
        request=s.PartOutSerializer,
        responses={200: s.SpecimenSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, specimen_id: UUID) -> Response:
        """Keep a part by itself, with its own seal and first transfer."""
        body = checked(s.PartOutSerializer, request)
        version, reason = body.pop("version"), body.pop("reason")
        done = actions.take_part_out(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            specimen_id=specimen_id,
            version=version,
            reason=reason,
            entry=body,
        )
        return Response(s.SpecimenSerializer(done).data)
