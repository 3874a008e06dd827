"""Endpoints of results."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.api.shared import CASE, key, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.results import actions, queries
from evidence.results.models import KINDS, RELATIONS, STATUSES, Result, ResultLine
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape


class ResultLineSerializer(serializers.ModelSerializer[ResultLine]):
    """What was reported of one analyte."""

    class Meta:
        model = ResultLine
        fields = ["analyte", "relation", "value", "unit", "matrix", "reporting_limit"]
        read_only_fields = fields


class ResultSerializer(serializers.ModelSerializer[Result]):
    """What was reported, by whom, on which items."""

    lines = ResultLineSerializer(many=True, read_only=True)
    items = serializers.SerializerMethodField()

    class Meta:
        model = Result
        fields = [
            "id", "version", "number", "kind", "status", "organization", "reported_by",
            "reference", "reported_on", "received_on", "statement", "replaces", "why_replaced",
            "after_signing",
            "items", "lines", "created_at", "created_by", "voided_at", "void_reason",
        ]  # fmt: skip
        read_only_fields = fields

    def get_items(self, result: Result) -> list[UUID]:
        """Return the keys of the items that it is about."""
        return [link.item_id for link in result.item_links.all()]


class NewResultLineSerializer(serializers.Serializer[Any]):
    """One analyte, with its digits as they were reported."""

    analyte = serializers.CharField(max_length=120)
    relation = serializers.ChoiceField(choices=RELATIONS)
    value = serializers.CharField(max_length=22, required=False, allow_blank=True)
    unit = serializers.CharField(max_length=24, required=False, allow_blank=True)
    matrix = serializers.CharField(max_length=80, required=False, allow_blank=True)
    reporting_limit = serializers.CharField(max_length=22, required=False, allow_blank=True)


class NewResultSerializer(NewShape):
    """A new result; `id` is made by the client. `items` are keys of items of the case."""

    kind = serializers.ChoiceField(choices=KINDS)
    status = serializers.ChoiceField(choices=STATUSES)
    organization = serializers.CharField(max_length=160)
    reported_by = serializers.CharField(max_length=160, required=False, allow_blank=True)
    reference = serializers.CharField(max_length=80, required=False, allow_blank=True)
    reported_on = serializers.DateField()
    received_on = serializers.DateField()
    statement = serializers.CharField()
    replaces = serializers.UUIDField(required=False, allow_null=True)
    why_replaced = serializers.CharField(max_length=240, required=False, allow_blank=True)
    items = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=200)
    lines = NewResultLineSerializer(many=True, required=False)


class NotAvailableSerializer(serializers.Serializer[Any]):
    """What is not on file; by its key it is acknowledged when the report is sent."""

    key = serializers.CharField()
    words = serializers.CharField()


RESULTS = f"{CASE}/results"

routes = [
    at(f"{RESULTS}/", "all",
       get=lists("result_list", key(seen("results")), queries.results_of, ResultSerializer,
           "List the results, newest first; withdrawn and replaced ones too."),
       post=adds("result_record", actions.record_result, NewResultSerializer, ResultSerializer,
           "Record what was reported, after the signature too.")),
    at(f"{RESULTS}/not-available/", "not-available",
       get=lists("result_not_available_list", key(seen("results")), queries.not_available_in,
           NotAvailableSerializer,
           "List examinations without a final result, and specimens that never left the office.")),
    at(f"{RESULTS}/<uuid:result_id>/void/", "void",
       post=changes("result_void", actions.withdraw_result, EvidenceVoidSerializer,
           ResultSerializer, "Withdraw what was entered by mistake, while the case is open.",
           keys={"result_id": "record_id"})),
]  # fmt: skip
