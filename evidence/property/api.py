"""Endpoints of things."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.property import actions, queries
from evidence.property import serializers as s
from me_office.shell.api import REFUSALS, checked, version_and_reason


class PropertiesView(APIView):
    """Property of a case."""

    @extend_schema(
        operation_id="property_list", responses={200: s.PropertySerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the property by item number."""
        case = case_seen(request, case_id, "property")
        return Response(s.PropertySerializer(queries.properties_of(case), many=True).data)

    @extend_schema(
        operation_id="property_record",
        request=s.NewPropertySerializer,
        responses={201: s.PropertySerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record a thing with its seal and its first transfer."""
        body = checked(s.NewPropertySerializer, request)
        record_id, reason = body.pop("id"), body.pop("reason", "")
        held = actions.record_property(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=record_id,
            entry=body,
            reason=reason,
        )
        return Response(s.PropertySerializer(held).data, status=status.HTTP_201_CREATED)


class PropertyView(APIView):
    """One thing."""

    @extend_schema(
        operation_id="property_describe",
        request=s.PropertyChangeSerializer,
        responses={200: s.PropertySerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, property_id: UUID) -> Response:
        """Correct what is said about a thing; only the fields sent change."""
        body = checked(s.PropertyChangeSerializer, request)
        kept = version_and_reason(body)
        held = actions.describe_property(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            property_id=property_id,
            entry=body,
            **kept,
        )
        return Response(s.PropertySerializer(held).data)


class PropertyVoidView(APIView):
    """Withdrawing a thing."""

    @extend_schema(
        operation_id="property_void",
        request=EvidenceVoidSerializer,
        responses={200: s.PropertySerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, property_id: UUID) -> Response:
        """Withdraw a thing; seals and transfers stay on record."""
        body = checked(EvidenceVoidSerializer, request)
        held = actions.void_property(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            property_id=property_id,
            **body,
        )
        return Response(s.PropertySerializer(held).data)
