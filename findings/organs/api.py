"""Endpoints of organ weights."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from findings.api import serializers
from findings.organs import actions, queries
from findings.organs import serializers as organ_serializers
from me_office.shell.api import REFUSALS, checked, version_and_reason


class OrganWeightsView(APIView):
    """Organ weights of a case."""

    @extend_schema(
        operation_id="organ_weight_list",
        responses={200: organ_serializers.OrganWeightSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the standing organ weights."""
        case = case_seen(request, case_id, "organ weights")
        return Response(
            organ_serializers.OrganWeightSerializer(queries.organ_weights_of(case), many=True).data
        )

    @extend_schema(
        operation_id="organ_weight_record",
        request=organ_serializers.NewOrganWeightSerializer,
        responses={201: organ_serializers.OrganWeightSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record an organ weight."""
        body = checked(organ_serializers.NewOrganWeightSerializer, request)
        organ_weight = actions.weigh_organ(
            request.user,
            case_id=case_id,
            record_id=body.pop("id"),
            entry=body,
        )
        return Response(
            organ_serializers.OrganWeightSerializer(organ_weight).data,
            status=status.HTTP_201_CREATED,
        )


class OrganWeightView(APIView):
    """One organ weight."""

    @extend_schema(
        operation_id="organ_weight_change",
        request=organ_serializers.OrganWeightChangeSerializer,
        responses={200: organ_serializers.OrganWeightSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, organ_weight_id: UUID) -> Response:
        """Change an organ weight; only the fields sent change."""
        body = checked(organ_serializers.OrganWeightChangeSerializer, request)
        kept = version_and_reason(body)
        organ_weight = actions.change_organ_weight(
            request.user, case_id=case_id, organ_weight_id=organ_weight_id, entry=body, **kept
        )
        return Response(organ_serializers.OrganWeightSerializer(organ_weight).data)


class OrganWeightVoidView(APIView):
    """Voiding an organ weight."""

    @extend_schema(
        operation_id="organ_weight_void",
        request=serializers.VoidSerializer,
        responses={200: organ_serializers.OrganWeightSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, organ_weight_id: UUID) -> Response:
        """Void an organ weight."""
        body = checked(serializers.VoidSerializer, request)
        organ_weight = actions.void_organ_weight(
            request.user, case_id=case_id, organ_weight_id=organ_weight_id, **body
        )
        return Response(organ_serializers.OrganWeightSerializer(organ_weight).data)
