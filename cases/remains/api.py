"""API of the body's release and disposition: the same actions as the pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.records import many_views
from cases.api.serializers import KeyedInput, ReasonInput
from cases.models import Case, CaseRecord
from cases.remains import actions, disposing, queries
from cases.remains.models import (
    BodyHold,
    BodyRelease,
    BodyReturn,
    CremationDecision,
    CremationRequest,
    Disposition,
)
from me_office.accounts.models import Staff
from me_office.shell.api import REFUSALS, checked


def _staff() -> Any:
    return serializers.PrimaryKeyRelatedField(
        queryset=Staff.objects.filter(is_active=True), required=False
    )


class HoldInput(KeyedInput, serializers.ModelSerializer[BodyHold]):
    """What keeps the body in the office."""

    class Meta:
        model = BodyHold
        fields = ("id", "version", "reason", *actions.HOLD_NAMES)


class HoldOutput(serializers.ModelSerializer[BodyHold]):
    """A hold, and when and why it was lifted."""

    class Meta:
        model = BodyHold
        fields = (
            "id", "version", "voided_at", *actions.HOLD_NAMES, "lifted_at", "lifted_by",
            "lifted_why",
        )  # fmt: skip


class BodyReleaseInput(KeyedInput, serializers.ModelSerializer[BodyRelease]):
    """The body leaves; without `released_by` it was the person who sends this."""

    released_by = _staff()

    class Meta:
        model = BodyRelease
        fields = ("id", "version", "reason", *actions.RELEASE_NAMES)


class BodyReleaseOutput(serializers.ModelSerializer[BodyRelease]):
    """A release; `stay` counts the body's stays in the office from 1."""

    class Meta:
        model = BodyRelease
        fields = ("id", "version", "voided_at", "stay", *actions.RELEASE_NAMES)


class BodyReturnInput(KeyedInput, serializers.ModelSerializer[BodyReturn]):
    """A released body comes back; without `received_by` the person who sends this received it."""

    received_by = _staff()

    class Meta:
        model = BodyReturn
        fields = ("id", "version", "reason", *actions.RETURN_NAMES)


class BodyReturnOutput(serializers.ModelSerializer[BodyReturn]):
    """A return; `stay` counts the body's stays in the office from 1."""

    class Meta:
        model = BodyReturn
        fields = ("id", "version", "voided_at", "stay", *actions.RETURN_NAMES)


class CremationInput(KeyedInput, serializers.ModelSerializer[CremationRequest]):
    """Somebody asks for approval of a cremation."""

    class Meta:
        model = CremationRequest
        fields = ("id", "version", "reason", *disposing.REQUEST_NAMES)


class CremationDecisionInput(serializers.ModelSerializer[CremationDecision]):
    """The answer; `id` is made by the client, `version` is the request's."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=1)

    class Meta:
        model = CremationDecision
        fields = ("id", "version", *disposing.DECISION_NAMES)
        validators: list[Any] = []


class CremationDecisionOutput(serializers.ModelSerializer[CremationDecision]):
    """A decision; the latest one counts."""

    decided_by = serializers.CharField(source="decided_by.display_name")

    class Meta:
        model = CremationDecision
        fields = ("id", *disposing.DECISION_NAMES, "decided_by")


class CremationOutput(serializers.ModelSerializer[CremationRequest]):
    """A request with its decisions."""

    decisions = serializers.SerializerMethodField()

    class Meta:
        model = CremationRequest
        fields = (
            "id", "version", "voided_at", "outcome", *disposing.REQUEST_NAMES, "decisions",
        )  # fmt: skip

    @extend_schema_field(CremationDecisionOutput(many=True))
    def get_decisions(self, asked: CremationRequest) -> Any:
        """Return the decisions in their order."""
        made = getattr(asked, "made_decisions", None)
        if made is None:
            made = asked.decisions.filter(voided_at=None).select_related("decided_by")
        return CremationDecisionOutput(made, many=True).data


class DispositionInput(KeyedInput, serializers.ModelSerializer[Disposition]):
    """What became of the remains."""

    class Meta:
        model = Disposition
        fields = ("id", "version", "reason", *disposing.DISPOSITION_NAMES)


class DispositionOutput(serializers.ModelSerializer[Disposition]):
    """What became of the remains; the latest one counts."""

    class Meta:
        model = Disposition
        fields = ("id", "version", "voided_at", *disposing.DISPOSITION_NAMES)


def _standing(model: type[CaseRecord]) -> Callable[[Case], list[Any]]:
    def read(case: Case) -> list[Any]:
        return list(model.objects.standing().filter(case=case))

    return read


Holds, VoidHold = many_views(
    "body_holds", "Holds on the body", _standing(BodyHold), actions.place_hold,
    actions.void_hold, HoldInput, HoldOutput,
)  # fmt: skip
Releases, VoidRelease = many_views(
    "body_releases", "Releases of the body", _standing(BodyRelease), actions.release_body,
    actions.void_release, BodyReleaseInput, BodyReleaseOutput,
)  # fmt: skip
Returns, VoidReturn = many_views(
    "body_returns", "Returns of the body", _standing(BodyReturn), actions.return_body,
    actions.void_return, BodyReturnInput, BodyReturnOutput,
)  # fmt: skip


class LiftHold(APIView):
    """Lifts a hold."""

    @extend_schema(
        operation_id="body_holds_lift",
        request=ReasonInput,
        responses={200: HoldOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
        """Lift the hold, with the reason."""
        said = checked(ReasonInput, request)
        lifted = actions.lift_hold(request.user, case_id=case_id, record_id=record_id, **said)
        return Response(HoldOutput(lifted).data)


Cremations, VoidCremation = many_views(
    "cremation_requests", "Requests for cremation approval", queries.cremations_of,
    disposing.log_cremation_request, disposing.void_cremation_request, CremationInput,
    CremationOutput,
)  # fmt: skip
Dispositions, VoidDisposition = many_views(
    "dispositions", "Final dispositions", queries.dispositions_of, disposing.record_disposition,
    disposing.void_disposition, DispositionInput, DispositionOutput,
)  # fmt: skip


class DecideCremation(APIView):
    """Approves or refuses a cremation."""

    @extend_schema(
        operation_id="cremation_requests_decide",
        request=CremationDecisionInput,
        responses={201: CremationDecisionOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
        """Decide; a later decision takes the place of the one before."""
        said = checked(CremationDecisionInput, request)
        decision = disposing.decide_cremation(
            request.user, case_id=case_id, request_id=record_id, record_id=said.pop("id"),
            version=said.pop("version"), entry=said,
        )  # fmt: skip
        return Response(CremationDecisionOutput(decision).data, status=201)
