"""Endpoints of the office's vocabulary."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from findings.api.serializers import VoidSerializer
from findings.words import actions, queries
from findings.words.models import OfficeTerm
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import adds, at, changes


class OfficeTermSerializer(serializers.ModelSerializer[OfficeTerm]):
    """A term of the office."""

    class Meta:
        model = OfficeTerm
        fields = ["id", "version", "klass", "term"]


class NewOfficeTermSerializer(serializers.Serializer[Any]):
    """A new term."""

    id = serializers.UUIDField()
    klass = serializers.ChoiceField(choices=OfficeTerm.CLASSES)
    term = serializers.CharField(max_length=80)


@extend_schema(
    operation_id="office_terms_list",
    responses={200: OfficeTermSerializer(many=True), **REFUSALS},
)
def office_terms(self: APIView, request: StaffApiRequest) -> Response:
    """Read the standing terms."""
    return Response(OfficeTermSerializer(queries.office_terms(), many=True).data)


routes = [
    at("findings/terms/", "terms", get=office_terms,
       post=adds("office_term_add", actions.add_office_term, NewOfficeTermSerializer,
           OfficeTermSerializer, "Add a term.")),
    at("findings/terms/<uuid:term_id>/void/", "term-void",
       post=changes("office_term_void", actions.void_office_term, VoidSerializer,
           OfficeTermSerializer, "Withdraw the term, with the reason.")),
]  # fmt: skip
