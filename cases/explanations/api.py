"""Endpoints of the standing explanations."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.explanations import actions, queries
from cases.explanations.actions import ENTERED
from cases.explanations.models import Explanation
from findings.api.serializers import VoidSerializer
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import at, changes
from me_office.shell.shapes import shape_of


class ExplainedSerializer(serializers.Serializer[Any]):
    """An explanation as the office gives it; version 0 is the text as it comes."""

    key = serializers.SlugField()
    question = serializers.CharField()
    words = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    version = serializers.IntegerField()


ExplanationSerializer = shape_of(
    "ExplanationSerializer", Explanation, ("id", "version", "key", *ENTERED),
    "The office's own words for an explanation.",
)  # fmt: skip
OwnWordsSerializer = shape_of(
    "OwnWordsSerializer", Explanation, ("id", "version", *ENTERED, "reason"),
    "The office's own words; version 0 where it has none yet.",
    id=serializers.UUIDField(), version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(max_length=500),
)  # fmt: skip


@extend_schema(
    operation_id="explanation_list",
    responses={200: ExplainedSerializer(many=True), **REFUSALS},
)
def explanations(self: APIView, request: StaffApiRequest) -> Response:
    """Read the standing explanations."""
    return Response(ExplainedSerializer(queries.explanations(), many=True).data)


routes = [
    at("explanations/", "explanations", get=explanations),
    at("explanations/<slug:key>/", "explanation",
       post=changes("explanation_change", actions.change_explanation, OwnWordsSerializer,
           ExplanationSerializer, "Say an explanation in the office's own words.")),
    at("explanations/<slug:key>/void/", "explanation-void",
       post=changes("explanation_void", actions.withdraw_explanation, VoidSerializer,
           ExplanationSerializer, "Withdraw the office's own words, with the reason.")),
]  # fmt: skip
