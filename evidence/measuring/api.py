"""Endpoints of measuring: each checks shape, makes one call, and prints the answer."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.access import Act, case_for
from cases.api.shared import case_seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.measuring import actions, making, queries, rules
from evidence.measuring import serializers as s
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_of
from findings.calculations.photo_assumptions import covered_by, left_out
from me_office.shell.api import REFUSALS, checked


def trial_of(photograph: Photograph, entry: dict[str, Any]) -> dict[str, Any]:
    """Measure without keeping anything."""
    reading = rules.reading_of(entry)
    orientation = photograph.exif.get("orientation", 1)
    size = rules.upright_size(photograph.width_px, photograph.height_px, orientation)
    answer = rules.answer_to(reading, size, photograph.exif)
    result = rules.result_of(reading, answer)
    return {
        "refusal": answer.refusal,
        "words": "" if answer.refusal else rules.result_words(result),
        "residual": rules.residual_words(answer.residual_mm, len(reading.scale_points)),
        "interval": result["interval"],
        "covered": covered_by(result, straight=reading.straight),
        "left_out": left_out(straight=reading.straight),
        "warnings": result["warnings"],
        "quantities": result["quantities"],
    }


class MeasurementsView(APIView):
    """What was measured in a photograph."""

    @extend_schema(
        operation_id="measurement_list",
        responses={200: s.MeasurementSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """List the standing measurements of a photograph."""
        case = case_seen(request, case_id, "photographs")
        found = queries.measurements_of(photograph_of(case, photograph_id))
        return Response(s.MeasurementSerializer(found, many=True).data)

    @extend_schema(
        operation_id="measurement_add",
        request=s.NewMeasurementSerializer,
        responses={201: s.MeasurementSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Measure and keep."""
        body = checked(s.NewMeasurementSerializer, request)
        measurement = actions.measure_photograph(
            request.user,
            case_id=case_id,
            record_id=body.pop("id"),
            photograph_id=photograph_id,
            entry={**body, "finding_id": body.pop("finding", None)},
        )
        return Response(s.MeasurementSerializer(measurement).data, status=status.HTTP_201_CREATED)


class MeasurementTrialView(APIView):
    """Trying a measurement out."""

    @extend_schema(
        operation_id="measurement_try",
        request=s.ReadingSerializer,
        responses={200: s.TrialSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Measure without keeping anything; a refusal is an answer here, with its reason."""
        case = case_for(request.user, Act.SEE, case_id)
        photograph = photograph_of(case, photograph_id)
        return Response(trial_of(photograph, checked(s.ReadingSerializer, request)))


class CornerView(APIView):
    """Help with a corner of the scale."""

    @extend_schema(
        operation_id="photograph_corner",
        parameters=[
            OpenApiParameter("x", float, required=True),
            OpenApiParameter("y", float, required=True),
        ],
        responses={200: s.CornerSerializer, **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Propose the corner near a point; the person confirms it or picks by hand."""
        case = case_for(request.user, Act.SEE, case_id)
        photograph = photograph_of(case, photograph_id)
        place = s.PairField().run_validation(
            [request.query_params.get("x"), request.query_params.get("y")]
        )
        corner = making.corner_near(photograph, place[0], place[1])
        if corner is None:
            return Response({"found": False})
        moved = round(corner.moved_px, 2)
        return Response(
            {"found": True, "x": round(corner.x, 2), "y": round(corner.y, 2), "moved_px": moved}
        )


class MeasurementVoidView(APIView):
    """Withdrawing a measurement."""

    @extend_schema(
        operation_id="measurement_void",
        request=EvidenceVoidSerializer,
        responses={200: s.MeasurementSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, measurement_id: UUID) -> Response:
        """Withdraw a measurement; it stays in history."""
        body = checked(EvidenceVoidSerializer, request)
        measurement = actions.void_measurement(
            request.user, case_id=case_id, measurement_id=measurement_id, **body
        )
        return Response(s.MeasurementSerializer(measurement).data)


class MeasurementUseView(APIView):
    """Putting a measured size into a finding."""

    @extend_schema(
        operation_id="measurement_use",
        request=s.UseSerializer,
        responses={201: s.MeasurementUseSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, measurement_id: UUID) -> Response:
        """Set a finding's length or width as measured on the photograph."""
        body = checked(s.UseSerializer, request)
        use = actions.use_measurement(
            request.user,
            case_id=case_id,
            measurement_id=measurement_id,
            record_id=body["id"],
            finding_id=body["finding"],
            version=body["version"],
            dimension=body["dimension"],
        )
        return Response(s.MeasurementUseSerializer(use).data, status=status.HTTP_201_CREATED)


class CopiesView(APIView):
    """Derived copies of a photograph."""

    @extend_schema(
        operation_id="copy_list", responses={200: s.CopySerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """List the standing copies of a photograph."""
        case = case_seen(request, case_id, "photographs")
        found = queries.copies_of(photograph_of(case, photograph_id))
        return Response(s.CopySerializer(found, many=True).data)

    @extend_schema(
        operation_id="copy_ask",
        request=s.NewCopySerializer,
        responses={202: s.CopyRequestSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Ask for a marked, rectified or cropped copy; a worker makes it under the same id."""
        body = checked(s.NewCopySerializer, request)
        asked = actions.request_copy(
            request.user,
            case_id=case_id,
            record_id=body["id"],
            photograph_id=photograph_id,
            measurement_id=body["measurement"],
            kind=body["kind"],
            with_line=body["with_line"],
            note=body.get("note", ""),
        )
        shown = queries.copy_request_of(asked.case, asked.pk)
        return Response(s.CopyRequestSerializer(shown).data, status=status.HTTP_202_ACCEPTED)


class CopyRequestView(APIView):
    """A copy that was asked for."""

    @extend_schema(
        operation_id="copy_request_read", responses={200: s.CopyRequestSerializer, **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Return how far it is; when it is made, the copy of the same id is in the list."""
        case = case_seen(request, case_id, "photographs")
        return Response(s.CopyRequestSerializer(queries.copy_request_of(case, request_id)).data)


class CopyRetryView(APIView):
    """Trying again."""

    @extend_schema(
        operation_id="copy_request_retry",
        request=s.RetrySerializer,
        responses={200: s.CopyRequestSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Try again to make a copy that was not made."""
        body = checked(s.RetrySerializer, request)
        asked = actions.retry_copy(request.user, case_id=case_id, request_id=request_id, **body)
        shown = queries.copy_request_of(asked.case, asked.pk)
        return Response(s.CopyRequestSerializer(shown).data)


class CopyVoidView(APIView):
    """Withdrawing a copy."""

    @extend_schema(
        operation_id="copy_void",
        request=EvidenceVoidSerializer,
        responses={200: s.CopySerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, copy_id: UUID) -> Response:
        """Withdraw a copy; its file stays in the store."""
        body = checked(EvidenceVoidSerializer, request)
        copy = actions.void_copy(request.user, case_id=case_id, copy_id=copy_id, **body)
        return Response(s.CopySerializer(copy).data)
