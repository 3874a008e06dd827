"""Endpoints of measuring: each checks shape, makes one call, and prints the answer."""

from __future__ import annotations

from uuid import UUID

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import CASE, seen, unnoted
from cases.models import Case
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.measuring import actions, making, queries, rules
from evidence.measuring import serializers as s
from evidence.measuring.models import CopyRequest, DerivedCopy, Measurement
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_of
from findings.calculations.photo_assumptions import covered_by, left_out
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS, checked
from me_office.shell.endpoints import adds, asks_for, at, changes, lists, reads

PHOTOGRAPH = f"{CASE}/photographs/<uuid:photograph_id>"


def trial_of(photograph: Photograph, entry: dict[str, object]) -> dict[str, object]:
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


class MeasurementTrialView(APIView):
    """Trying a measurement out."""

    @extend_schema(
        operation_id="measurement_try",
        request=s.ReadingSerializer,
        responses={200: s.TrialSerializer, **REFUSALS},
    )
    def post(self, request: StaffApiRequest, case_id: UUID, photograph_id: UUID) -> Response:
        """Measure without keeping anything; a refusal is an answer here, with its reason."""
        case = unnoted(request.user, case_id)
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
    def get(self, request: StaffApiRequest, case_id: UUID, photograph_id: UUID) -> Response:
        """Propose the corner near a point; the person confirms it or picks by hand."""
        case = unnoted(request.user, case_id)
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


def _measure(
    actor: Staff, *, case_id: UUID, photograph_id: UUID, record_id: UUID, entry: dict[str, object]
) -> Measurement:
    """Measure and keep, for the finding that is named."""
    named = {**entry, "finding_id": entry.pop("finding", None)}
    return actions.measure_photograph(
        actor, case_id=case_id, record_id=record_id, photograph_id=photograph_id, entry=named
    )


def _measurements_of(case: Case, photograph_id: UUID) -> list[Measurement]:
    return queries.measurements_of(photograph_of(case, photograph_id))


def _copies_of(case: Case, photograph_id: UUID) -> list[DerivedCopy]:
    return queries.copies_of(photograph_of(case, photograph_id))


def _how_far(asked: CopyRequest) -> CopyRequest:
    return queries.copy_request_of(asked.case, asked.pk)


routes = [
    at(f"{PHOTOGRAPH}/measurements/", "measurements",
       get=lists("measurement_list", seen("photographs"), _measurements_of,
           s.MeasurementSerializer, "List the standing measurements of a photograph."),
       post=adds("measurement_add", _measure, s.NewMeasurementSerializer, s.MeasurementSerializer,
           "Measure and keep.")),
    path(f"{PHOTOGRAPH}/measurements/trial/", MeasurementTrialView.as_view(), name="trial"),
    path(f"{PHOTOGRAPH}/corner/", CornerView.as_view(), name="corner"),
    at(f"{CASE}/measurements/<uuid:measurement_id>/void/", "measurement-void",
       post=changes("measurement_void", actions.void_measurement, EvidenceVoidSerializer,
           s.MeasurementSerializer, "Withdraw a measurement; it stays in history.")),
    at(f"{CASE}/measurements/<uuid:measurement_id>/use/", "measurement-use",
       post=adds("measurement_use", actions.use_measurement, s.UseSerializer,
           s.MeasurementUseSerializer,
           "Set a finding's length or width as measured on the photograph.")),
    at(f"{PHOTOGRAPH}/copies/", "copies",
       get=lists("copy_list", seen("photographs"), _copies_of, s.CopySerializer,
           "List the standing copies of a photograph."),
       post=asks_for("copy_ask", actions.request_copy, s.NewCopySerializer,
           s.CopyRequestSerializer,
           "Ask for a marked, rectified or cropped copy; a worker makes it under the same id.",
           shown=_how_far)),
    at(f"{CASE}/copy-requests/<uuid:request_id>/", "copy-request",
       get=reads("copy_request_read", seen("photographs"), queries.copy_request_of,
           s.CopyRequestSerializer,
           "Return how far it is; when it is made, the copy of the same id is in the list.")),
    at(f"{CASE}/copy-requests/<uuid:request_id>/retry/", "copy-retry",
       post=changes("copy_request_retry", actions.retry_copy, s.RetrySerializer,
           s.CopyRequestSerializer, "Try again to make a copy that was not made.", shown=_how_far)),
    at(f"{CASE}/copies/<uuid:copy_id>/void/", "copy-void",
       post=changes("copy_void", actions.void_copy, EvidenceVoidSerializer, s.CopySerializer,
           "Withdraw a copy; its file stays in the store.")),
]  # fmt: skip
