"""API: the scene, the body's receipt, and the records that a case has many of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import actions
from cases.api import serializers as shapes
from cases.course import case_frame
from cases.models import Case
from cases.queries import file
from me_office.audit.errors import NotKnown
from me_office.shell.api import REFUSALS, checked

Shape = type[serializers.Serializer[Any]]


def one_view(
    name: str, title: str, read: Callable[[Case], Any], write: Callable[..., Any], into: Shape,
    out: Shape,
) -> type[APIView]:  # fmt: skip
    """Return the view of the one record of a kind that a case has."""

    class One(APIView):
        @extend_schema(operation_id=f"{name}_read", responses={200: out, **REFUSALS})
        def get(self, request: Request, case_id: UUID) -> Response:
            frame = case_frame(request.user, case_id, current=name)
            record = read(frame.case)
            if record is None:
                raise NotKnown(f"{title} is not recorded yet.")
            return Response(out(record).data)

        @extend_schema(
            operation_id=f"{name}_record", request=into, responses={200: out, **REFUSALS}
        )
        def put(self, request: Request, case_id: UUID) -> Response:
            said = checked(into, request)
            saved = write(request.user, case_id=case_id, **_keys(said), entry=said)
            return Response(out(saved).data)

    One.__doc__ = f"{title} of one case; `version` 0 makes the record."
    return One


def _keys(said: dict[str, Any]) -> dict[str, Any]:
    return {
        "record_id": said.pop("id"),
        "version": said.pop("version"),
        "reason": said.pop("reason"),
    }


def many_views(
    name: str, title: str, read: Callable[[Case], list[Any]], write: Callable[..., Any],
    void: Callable[..., Any], into: Shape, out: Any,
) -> tuple[type[APIView], type[APIView]]:  # fmt: skip
    """Return the views of a kind of record: the list with changes, and voiding."""

    class Many(APIView):
        @extend_schema(operation_id=f"{name}_list", responses={200: out(many=True), **REFUSALS})
        def get(self, request: Request, case_id: UUID) -> Response:
            frame = case_frame(request.user, case_id, current=name)
            return Response(out(read(frame.case), many=True).data)

        @extend_schema(
            operation_id=f"{name}_record", request=into, responses={201: out, **REFUSALS}
        )
        def post(self, request: Request, case_id: UUID) -> Response:
            said = checked(into, request)
            saved = write(request.user, case_id=case_id, **_keys(said), entry=said)
            return Response(out(saved).data, status=201 if saved.version == 1 else 200)

    class Voided(APIView):
        @extend_schema(
            operation_id=f"{name}_void",
            request=shapes.ReasonInput,
            responses={200: out, **REFUSALS},
        )
        def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
            said = checked(shapes.ReasonInput, request)
            return Response(out(void(request.user, record_id=record_id, **said)).data)

    Many.__doc__ = f"{title} of one case; `version` 0 makes a record, a later one changes it."
    Voided.__doc__ = f"Withdraws one of: {title.lower()}."
    return Many, Voided


SceneOfCase = one_view(
    "scene", "The scene", file.scene_of, actions.record_scene, shapes.SceneInput,
    shapes.SceneOutput,
)  # fmt: skip
ReceiptOfBody = one_view(
    "body_receipt", "The body's receipt", file.receipt_of, actions.receive_body,
    shapes.ReceiptInput, shapes.ReceiptOutput,
)  # fmt: skip
Readings, VoidReading = many_views(
    "readings", "Temperatures", file.readings_of, actions.record_reading, actions.void_reading,
    shapes.ReadingInput, shapes.ReadingOutput,
)  # fmt: skip
Places, VoidPlace = many_views(
    "places", "Other places and positions", file.places_of, actions.record_place,
    actions.void_place, shapes.PlaceInput, shapes.PlaceOutput,
)  # fmt: skip
MedicationFound, VoidMedication = many_views(
    "medication", "Medication", file.medication_of, actions.record_medication,
    actions.void_medication, shapes.MedicationInput, shapes.MedicationOutput,
)  # fmt: skip
People, VoidPerson = many_views(
    "people", "People", file.people_of, actions.record_person, actions.void_person,
    shapes.PersonInput, shapes.PersonOutput,
)  # fmt: skip
Identifications, VoidIdentification = many_views(
    "identifications", "Steps of identification", file.identifications_of,
    actions.record_identification, actions.void_identification, shapes.IdentificationInput,
    shapes.IdentificationOutput,
)  # fmt: skip
