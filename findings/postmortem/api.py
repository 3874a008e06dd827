"""Endpoints of lividity and rigor by region."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from findings.api.serializers import VoidSerializer
from findings.postmortem import actions, queries
from findings.postmortem import serializers as s
from me_office.shell.api import REFUSALS, checked, version_and_reason


class LividityRowsView(APIView):
    """The lividity of a case, region by region."""

    @extend_schema(
        operation_id="lividity_list", responses={200: s.LividitySerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the standing rows."""
        case = case_seen(request, case_id, "lividity")
        return Response(s.LividitySerializer(queries.lividity_of(case), many=True).data)

    @extend_schema(
        operation_id="lividity_record",
        request=s.NewLividitySerializer,
        responses={201: s.LividitySerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record one region."""
        body = checked(s.NewLividitySerializer, request)
        row = actions.record_lividity(
            request.user, case_id=case_id, record_id=body.pop("id"), entry=body
        )
        return Response(s.LividitySerializer(row).data, status=status.HTTP_201_CREATED)


class LividityRowView(APIView):
    """The lividity of one region."""

    @extend_schema(
        operation_id="lividity_change",
        request=s.LividityChangeSerializer,
        responses={200: s.LividitySerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, row_id: UUID) -> Response:
        """Change a row; only the fields sent change."""
        body = checked(s.LividityChangeSerializer, request)
        kept = version_and_reason(body)
        row = actions.change_lividity(
            request.user, case_id=case_id, lividity_id=row_id, entry=body, **kept
        )
        return Response(s.LividitySerializer(row).data)


class LividityVoidView(APIView):
    """Voiding the lividity of one region."""

    @extend_schema(
        operation_id="lividity_void",
        request=VoidSerializer,
        responses={200: s.LividitySerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, row_id: UUID) -> Response:
        """Void a row."""
        body = checked(VoidSerializer, request)
        row = actions.void_lividity(request.user, case_id=case_id, lividity_id=row_id, **body)
        return Response(s.LividitySerializer(row).data)


class RigorRowsView(APIView):
    """The rigor of a case, joint by joint."""

    @extend_schema(
        operation_id="rigor_list", responses={200: s.RigorSerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the standing rows."""
        case = case_seen(request, case_id, "rigor")
        return Response(s.RigorSerializer(queries.rigor_of(case), many=True).data)

    @extend_schema(
        operation_id="rigor_record",
        request=s.NewRigorSerializer,
        responses={201: s.RigorSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record one joint."""
        body = checked(s.NewRigorSerializer, request)
        row = actions.record_rigor(
            request.user, case_id=case_id, record_id=body.pop("id"), entry=body
        )
        return Response(s.RigorSerializer(row).data, status=status.HTTP_201_CREATED)


class RigorRowView(APIView):
    """The rigor of one joint."""

    @extend_schema(
        operation_id="rigor_change",
        request=s.RigorChangeSerializer,
        responses={200: s.RigorSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, row_id: UUID) -> Response:
        """Change a row; only the fields sent change."""
        body = checked(s.RigorChangeSerializer, request)
        kept = version_and_reason(body)
        row = actions.change_rigor(
            request.user, case_id=case_id, rigor_id=row_id, entry=body, **kept
        )
        return Response(s.RigorSerializer(row).data)


class RigorVoidView(APIView):
    """Voiding the rigor of one joint."""

    @extend_schema(
        operation_id="rigor_void",
        request=VoidSerializer,
        responses={200: s.RigorSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, row_id: UUID) -> Response:
        """Void a row."""
        body = checked(VoidSerializer, request)
        row = actions.void_rigor(request.user, case_id=case_id, rigor_id=row_id, **body)
        return Response(s.RigorSerializer(row).data)
