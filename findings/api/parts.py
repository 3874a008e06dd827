"""Endpoints of marks, layers, interpretations and organ weights."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from findings import actions
from findings.api import serializers as s
from me_office.shell.api import REFUSALS, checked, version_and_reason


class MarksView(APIView):
    """Marks of a finding."""

    @extend_schema(
        operation_id="mark_record",
        request=s.NewMarkSerializer,
        responses={201: s.MarkSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Record a mark."""
        body = checked(s.NewMarkSerializer, request)
        mark = actions.place_mark(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=body.pop("id"),
            entry=body,
        )
        return Response(s.MarkSerializer(mark).data, status=status.HTTP_201_CREATED)


class MarkView(APIView):
    """One mark."""

    @extend_schema(
        operation_id="mark_change",
        request=s.MarkChangeSerializer,
        responses={200: s.MarkSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, mark_id: UUID) -> Response:
        """Change a mark; only the fields sent change."""
        body = checked(s.MarkChangeSerializer, request)
        kept = version_and_reason(body)
        mark = actions.move_mark(request.user, case_id=case_id, mark_id=mark_id, entry=body, **kept)
        return Response(s.MarkSerializer(mark).data)


class MarkVoidView(APIView):
    """Voiding a mark."""

    @extend_schema(
        operation_id="mark_void",
        request=s.VoidSerializer,
        responses={200: s.MarkSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, mark_id: UUID) -> Response:
        """Void a mark."""
        body = checked(s.VoidSerializer, request)
        mark = actions.void_mark(request.user, case_id=case_id, mark_id=mark_id, **body)
        return Response(s.MarkSerializer(mark).data)


class LayersView(APIView):
    """Layers of a finding."""

    @extend_schema(
        operation_id="layer_record",
        request=s.NewLayerSerializer,
        responses={201: s.LayerSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Record a layer."""
        body = checked(s.NewLayerSerializer, request)
        layer = actions.record_layer(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=body.pop("id"),
            entry=body,
        )
        return Response(s.LayerSerializer(layer).data, status=status.HTTP_201_CREATED)


class LayerView(APIView):
    """One layer."""

    @extend_schema(
        operation_id="layer_change",
        request=s.LayerChangeSerializer,
        responses={200: s.LayerSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, layer_id: UUID) -> Response:
        """Change a layer; only the fields sent change."""
        body = checked(s.LayerChangeSerializer, request)
        kept = version_and_reason(body)
        layer = actions.change_layer(
            request.user, case_id=case_id, layer_id=layer_id, entry=body, **kept
        )
        return Response(s.LayerSerializer(layer).data)


class LayerVoidView(APIView):
    """Voiding a layer."""

    @extend_schema(
        operation_id="layer_void",
        request=s.VoidSerializer,
        responses={200: s.LayerSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, layer_id: UUID) -> Response:
        """Void a layer."""
        body = checked(s.VoidSerializer, request)
        layer = actions.void_layer(request.user, case_id=case_id, layer_id=layer_id, **body)
        return Response(s.LayerSerializer(layer).data)


class InterpretationsView(APIView):
    """Interpretations of a finding."""

    @extend_schema(
        operation_id="interpretation_record",
        request=s.NewInterpretationSerializer,
        responses={201: s.InterpretationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Record an interpretation."""
        body = checked(s.NewInterpretationSerializer, request)
        interpretation = actions.record_interpretation(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=body.pop("id"),
            entry=body,
        )
        return Response(
            s.InterpretationSerializer(interpretation).data, status=status.HTTP_201_CREATED
        )


class InterpretationView(APIView):
    """One interpretation."""

    @extend_schema(
        operation_id="interpretation_change",
        request=s.InterpretationChangeSerializer,
        responses={200: s.InterpretationSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, interpretation_id: UUID) -> Response:
        """Change an interpretation; only the fields sent change."""
        body = checked(s.InterpretationChangeSerializer, request)
        kept = version_and_reason(body)
        interpretation = actions.change_interpretation(
            request.user, case_id=case_id, interpretation_id=interpretation_id, entry=body, **kept
        )
        return Response(s.InterpretationSerializer(interpretation).data)


class InterpretationVoidView(APIView):
    """Voiding an interpretation."""

    @extend_schema(
        operation_id="interpretation_void",
        request=s.VoidSerializer,
        responses={200: s.InterpretationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, interpretation_id: UUID) -> Response:
        """Void an interpretation."""
        body = checked(s.VoidSerializer, request)
        interpretation = actions.void_interpretation(
            request.user, case_id=case_id, interpretation_id=interpretation_id, **body
        )
        return Response(s.InterpretationSerializer(interpretation).data)
