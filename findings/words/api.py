"""Endpoints of the office's vocabulary."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from findings.api.serializers import VoidSerializer
from findings.words import actions, queries
from findings.words.models import OfficeTerm
from me_office.shell.api import REFUSALS, checked


class OfficeTermSerializer(serializers.ModelSerializer[OfficeTerm]):
    """A term of the office."""

    class Meta:
        model = OfficeTerm
        fields = ["id", "version", "klass", "term"]


class NewOfficeTermSerializer(serializers.Serializer[Any]):
    """A new term."""

    id = serializers.UUIDField()
    klass = serializers.ChoiceField(choices=OfficeTerm._meta.get_field("klass").choices)
    term = serializers.CharField(max_length=80)


class OfficeTermsView(APIView):
    """The office's own terms."""

    @extend_schema(
        operation_id="office_terms_list",
        responses={200: OfficeTermSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request) -> Response:
        """Read the standing terms."""
        return Response(OfficeTermSerializer(queries.office_terms(), many=True).data)

    @extend_schema(
        operation_id="office_term_add",
        request=NewOfficeTermSerializer,
        responses={201: OfficeTermSerializer, **REFUSALS},
    )
    def post(self, request: Request) -> Response:
        """Add a term."""
        body = checked(NewOfficeTermSerializer, request)
        made = actions.add_office_term(request.user, record_id=body.pop("id"), entry=body)
        return Response(OfficeTermSerializer(made).data, status=status.HTTP_201_CREATED)


class OfficeTermVoidView(APIView):
    """Withdrawing a term."""

    @extend_schema(
        operation_id="office_term_void",
        request=VoidSerializer,
        responses={200: OfficeTermSerializer, **REFUSALS},
    )
    def post(self, request: Request, term_id: UUID) -> Response:
        """Withdraw the term, with the reason."""
        body = checked(VoidSerializer, request)
        gone = actions.void_office_term(
            request.user, term_id=term_id, version=body["version"], reason=body["reason"]
        )
        return Response(OfficeTermSerializer(gone).data)
