"""API of the search within a case."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import access
from cases.access import Act
from cases.case_search.queries import SEARCH, Hit, found_in_case
from cases.case_search.rules import read_asked
from me_office.accounts.requests import StaffApiRequest
from me_office.audit import looks
from me_office.shell.api import ErrorSerializer


class FoundHitOutput(serializers.Serializer[Any]):
    """One thing that was found."""

    title = serializers.CharField()
    url = serializers.CharField(help_text="Its page")
    words = serializers.SerializerMethodField(help_text="The words around what was looked for")
    at = serializers.DateTimeField(allow_null=True, help_text="Of an act of the history")
    who = serializers.CharField(help_text="Of an act of the history")

    def get_words(self, hit: Hit) -> str:
        """Return the words around it in one text."""
        return "".join(piece for piece, _ in hit.pieces)


class FoundGroupOutput(serializers.Serializer[Any]):
    """What was found of one kind; the first of it are in `hits`."""

    key = serializers.CharField()
    title = serializers.CharField()
    count = serializers.IntegerField(help_text="How many were found")
    counted_all = serializers.BooleanField(help_text="Whether there are no more than that")
    hits = FoundHitOutput(many=True)


class FoundInCaseOutput(serializers.Serializer[Any]):
    """What a search within a case found."""

    groups = FoundGroupOutput(many=True)


class CaseSearch(APIView):
    """The search within a case."""

    @extend_schema(
        operation_id="case_search",
        parameters=[OpenApiParameter("q", str)],
        responses={200: FoundInCaseOutput, 403: ErrorSerializer, 404: ErrorSerializer},
    )
    def get(self, request: StaffApiRequest, case_id: UUID) -> Response:
        """Find what a case holds by words, by numbers, by where on the body it lies."""
        case = access.case_for(request.user, Act.SEE, case_id)
        asked = read_asked(request.query_params.get("q", ""))
        found = found_in_case(case, asked)
        looks.note_list(
            request.user, SEARCH, case_id=case_id, rows=found.shown, asked={"words": asked.text}
        )
        return Response(FoundInCaseOutput(found).data)
