"""Endpoints of the calculations."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from findings.calculations.registry import METHODS, UnknownMethod, find
from findings.computing import actions, queries, rules
from findings.computing.models import Calculation
from me_office.audit.errors import NotKnown, Refused
from me_office.shell.api import REFUSALS, checked
from me_office.shell.api_moment import ApiMomentField

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
    source = serializers.ListField(child=serializers.CharField())
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
    source = serializers.ListField(child=serializers.CharField())


class NewCalculationSerializer(serializers.Serializer[Any]):
    """A calculation to keep."""

    id = serializers.UUIDField()
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
    def get(self, request: Request) -> Response:
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
    def post(self, request: Request, method: str) -> Response:
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


class CalculationsView(APIView):
    """The kept calculations of a case."""

    @extend_schema(
        operation_id="calculation_list",
        responses={200: CalculationSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the standing calculations, newest first."""
        rows = queries.calculations_of(case_seen(request, case_id, "calculations"))
        return Response(CalculationSerializer(rows, many=True).data)

    @extend_schema(
        operation_id="calculation_record",
        request=NewCalculationSerializer,
        responses={201: CalculationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Compute and keep the result in the case file."""
        body = checked(NewCalculationSerializer, request)
        calculation = actions.record_calculation(
            request.user, case_id=case_id, record_id=body.pop("id"), **body
        )
        return Response(CalculationSerializer(calculation).data, status=status.HTTP_201_CREATED)


class CalculationView(APIView):
    """One kept calculation."""

    @extend_schema(
        operation_id="calculation_read", responses={200: CalculationSerializer, **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, calculation_id: UUID) -> Response:
        """Read a calculation, voided or not."""
        case = case_seen(request, case_id, "calculations")
        return Response(CalculationSerializer(queries.calculation_of(case, calculation_id)).data)


class CalculationVoidView(APIView):
    """Voiding a calculation."""

    @extend_schema(
        operation_id="calculation_void",
        request=VoidCalculationSerializer,
        responses={200: CalculationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, calculation_id: UUID) -> Response:
        """Void a calculation; it stays in history."""
        body = checked(VoidCalculationSerializer, request)
        calculation = actions.void_calculation(
            request.user, case_id=case_id, calculation_id=calculation_id, **body
        )
        return Response(CalculationSerializer(calculation).data)
