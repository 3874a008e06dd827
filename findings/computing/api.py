"""Endpoints of the calculations."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import CASE, seen
from findings.calculations.registry import METHODS, UnknownMethod, find
from findings.computing import actions, queries, rules
from findings.computing.models import Calculation
from me_office.accounts.requests import StaffApiRequest
from me_office.audit.errors import NotKnown, Refused
from me_office.shell.api import REFUSALS, checked
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import NewShape

INPUTS_HELP = "The method's fields by name; numbers as numbers, in the unit that the field names"


class MethodSerializer(serializers.Serializer[Any]):
    """A method: its fields with units and limits, sources and cautions."""

    name = serializers.CharField()
    other_names = serializers.ListField(child=serializers.CharField())
    title = serializers.CharField()
    version = serializers.CharField()
    summary = serializers.CharField()
    fields_taken = serializers.ListField(child=serializers.DictField())
    results = serializers.ListField(child=serializers.DictField())
    validity = serializers.CharField()
    source = serializers.ListField(child=serializers.CharField())  # type: ignore[assignment]
    cautions = serializers.ListField(child=serializers.CharField())
    example = serializers.DictField()


class ComputeSerializer(serializers.Serializer[Any]):
    """What to compute with."""

    inputs = serializers.DictField(help_text=INPUTS_HELP)


class ComputedSerializer(serializers.Serializer[Any]):
    """A result that was not kept; a refusal has its reason and no estimate."""

    method = serializers.CharField()
    version = serializers.CharField()
    refused = serializers.BooleanField()
    reason = serializers.CharField(allow_null=True)
    result = serializers.DictField()
    warnings = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    source = serializers.ListField(child=serializers.CharField())  # type: ignore[assignment]


class NewCalculationSerializer(NewShape):
    """A calculation to keep."""

    method = serializers.CharField(max_length=40)
    inputs = serializers.DictField(help_text=INPUTS_HELP)
    measured_at = ApiMomentField(required=False, allow_null=True)
    note = serializers.CharField(max_length=4000, help_text="What it is for")


class VoidCalculationSerializer(serializers.Serializer[Any]):
    """Why a calculation is withdrawn."""

    version = serializers.IntegerField()
    reason = serializers.CharField(max_length=4000)


class CalculationSerializer(serializers.ModelSerializer[Calculation]):
    """A kept calculation."""

    result = serializers.SerializerMethodField()

    class Meta:
        model = Calculation
        fields = (
            "id", "version", "method", "method_version", "inputs", "taken_from", "measured_at",
            "result", "refused", "note", "made_at", "made_by", "voided_at", "void_reason",
        )  # fmt: skip
        read_only_fields = fields

    def get_result(self, calculation: Calculation) -> dict[str, Any]:
        """The result with its warnings, cautions and sources."""
        return rules.without_hours_that_are_no_estimate(calculation.result)


def _described(method: Any) -> dict[str, Any]:
    described = method.describe()
    return {**described, "fields_taken": described["fields"]}


def _computed(result: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **{name: result[name] for name in ("method", "version", "reason", "warnings")},
        "refused": result["reason"] is not None,
        "result": rules.without_hours_that_are_no_estimate(result),
        "cautions": result["cautions"],
        "source": result["source"],
    }


class MethodsView(APIView):
    """The published methods."""

    @extend_schema(operation_id="calculation_methods", responses={200: MethodSerializer(many=True)})
    def get(self, request: StaffApiRequest) -> Response:
        """List the methods with their fields, sources and cautions."""
        described = [_described(method) for method in METHODS]
        return Response(MethodSerializer(described, many=True).data)


class MethodView(APIView):
    """One method."""

    @extend_schema(
        operation_id="calculation_compute",
        request=ComputeSerializer,
        responses={200: ComputedSerializer, **REFUSALS},
    )
    def post(self, request: StaffApiRequest, method: str) -> Response:
        """Compute without keeping anything."""
        try:
            find(method)
        except UnknownMethod as error:
            raise NotKnown(error.message) from None
        body = checked(ComputeSerializer, request)
        try:
            result = rules.run(method, body["inputs"])
        except rules.Unusable as error:
            raise Refused(error.message, field=error.field) from None
        return Response(ComputedSerializer(_computed(result.as_plain())).data)


routes = [
    path("calculations/", MethodsView.as_view(), name="methods"),
    path("calculations/<slug:method>/", MethodView.as_view(), name="method"),
    at(f"{CASE}/calculations/", "calculations",
       get=lists("calculation_list", seen("calculations"), queries.calculations_of,
           CalculationSerializer, "List the standing calculations, newest first."),
       post=adds("calculation_record", actions.record_calculation, NewCalculationSerializer,
           CalculationSerializer, "Compute and keep the result in the case file.")),
    at(f"{CASE}/calculations/<uuid:calculation_id>/", "calculation",
       get=reads("calculation_read", seen("calculations"), queries.calculation_of,
           CalculationSerializer, "Read a calculation, voided or not.")),
    at(f"{CASE}/calculations/<uuid:calculation_id>/void/", "void",
       post=changes("calculation_void", actions.void_calculation, VoidCalculationSerializer,
           CalculationSerializer, "Void a calculation; it stays in history.")),
]  # fmt: skip
