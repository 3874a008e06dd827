"""Endpoints of the office's vocabulary."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from findings.api.serializers import VoidSerializer
from findings.words import actions, queries
from findings.words.models import OfficeTerm, OfficeWording
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import adds, at, changes
from me_office.shell.shapes import NewShape


class OfficeTermSerializer(serializers.ModelSerializer[OfficeTerm]):
    """A term of the office."""

    class Meta:
        model = OfficeTerm
        fields = ["id", "version", "klass", "term"]


class NewOfficeTermSerializer(NewShape):
    """A new term."""

    klass = serializers.ChoiceField(choices=OfficeTerm.CLASSES)
    term = serializers.CharField(max_length=80)


class WordingSerializer(serializers.Serializer[Any]):
    """Something that reports say: in standard words, and in the office's own where it has some."""

    key = serializers.CharField()
    standard = serializers.CharField()
    where = serializers.CharField()
    blanks = serializers.ListField(child=serializers.CharField())
    own = serializers.CharField(allow_null=True)
    own_id = serializers.UUIDField(allow_null=True)


class OfficeWordingSerializer(serializers.ModelSerializer[OfficeWording]):
    """A wording of the office's own."""

    class Meta:
        model = OfficeWording
        fields = ["id", "version", "key", "words"]


class NewWordingSerializer(NewShape):
    """Other words for something; `replaces` is the office's own wording that was read."""

    key = serializers.CharField(max_length=120)
    words = serializers.CharField(max_length=200)
    replaces = serializers.UUIDField(required=False, allow_null=True)


@extend_schema(
    operation_id="office_wordings_list",
    responses={200: WordingSerializer(many=True), **REFUSALS},
)
def office_wordings(self: APIView, request: StaffApiRequest) -> Response:
    """Read what reports say in words that the office may change."""
    own = {one.key: one for one in queries.own_wordings()}
    rows = [
        {
            "key": one.key,
            "standard": one.standard,
            "where": one.where,
            "blanks": list(one.blanks),
            "own": own[one.key].words if one.key in own else None,
            "own_id": own[one.key].pk if one.key in own else None,
        }
        for offered in queries.wordings().values()
        for one in offered
    ]
    return Response(WordingSerializer(rows, many=True).data)


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
    at("findings/wording/", "wordings", get=office_wordings,
       post=adds("office_wording_reword", actions.reword, NewWordingSerializer,
           OfficeWordingSerializer, "Say something in the office's own words.")),
    at("findings/wording/<uuid:wording_id>/standard/", "wording-standard",
       post=changes("office_wording_restore", actions.restore_wording, VoidSerializer,
           OfficeWordingSerializer, "Go back to the standard words, with the reason.")),
]  # fmt: skip
