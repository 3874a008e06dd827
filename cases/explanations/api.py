"""Endpoints of the standing explanations."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.explanations import actions, queries
from cases.explanations.actions import ENTERED
from cases.explanations.models import Explanation
from findings.api.serializers import VoidSerializer
from me_office.shell.endpoints import at, changes, tells
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


routes = [
    at("explanations/", "explanations",
       get=tells("explanation_list", lambda _: queries.explanations(), ExplainedSerializer,
           "Read the standing explanations.")),
    at("explanations/<slug:key>/", "explanation",
       post=changes("explanation_change", actions.change_explanation, OwnWordsSerializer,
           ExplanationSerializer, "Say an explanation in the office's own words.")),
    at("explanations/<slug:key>/void/", "explanation-void",
       post=changes("explanation_void", actions.withdraw_explanation, VoidSerializer,
           ExplanationSerializer, "Withdraw the office's own words, with the reason.")),
]  # fmt: skip
