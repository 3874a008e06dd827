"""Endpoints of what the photograph log lacks, and of what was set aside."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.gaps import actions, queries
from evidence.gaps.models import SetAside
from evidence.gaps.queries import missing_in_log
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.api import REFUSALS, checked


class MissingSerializer(serializers.Serializer[Any]):
    """A picture that the log lacks; by its key it is set aside."""

    key = serializers.CharField()
    kind = serializers.CharField()
    words = serializers.CharField()


class NewSetAsideSerializer(serializers.Serializer[Any]):
    """Something to leave as it is; `id` is made by the client."""

    id = serializers.UUIDField()
    key = serializers.CharField(max_length=80)
    reason = serializers.CharField(max_length=500)


class SetAsideSerializer(serializers.ModelSerializer[SetAside]):
    """What was set aside, and why."""

    class Meta:
        model = SetAside
        fields = ["id", "version", "key", "words", "why", "created_at", "voided_at", "void_reason"]
        read_only_fields = fields


class MissingView(APIView):
    """What the photograph log lacks."""

    @extend_schema(
        operation_id="missing_pictures_list",
        responses={200: MissingSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the pictures that are missing and that nobody set aside."""
        case = case_seen(request, case_id, "photographs")
        return Response(MissingSerializer(missing_in_log(case), many=True).data)


class AllSetAsideView(APIView):
    """What was set aside."""

    @extend_schema(
        operation_id="set_aside_list", responses={200: SetAsideSerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List what was set aside, newest first."""
        case = case_seen(request, case_id, "photographs")
        return Response(SetAsideSerializer(queries.set_aside_in(case), many=True).data)

    @extend_schema(
        operation_id="set_aside_add",
        request=NewSetAsideSerializer,
        responses={201: SetAsideSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Leave a missing picture or a proposed series as it is, with the reason."""
        body = checked(NewSetAsideSerializer, request)
        made = actions.set_aside(request.user, case_id=case_id, record_id=body.pop("id"), **body)
        return Response(SetAsideSerializer(made).data, status=status.HTTP_201_CREATED)


class PointOutAgainView(APIView):
    """Taking back that something was set aside."""

    @extend_schema(
        operation_id="set_aside_void",
        request=EvidenceVoidSerializer,
        responses={200: SetAsideSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
        """Point it out again, with the reason."""
        body = checked(EvidenceVoidSerializer, request)
        again = actions.point_out_again(request.user, case_id=case_id, record_id=record_id, **body)
        return Response(SetAsideSerializer(again).data)
