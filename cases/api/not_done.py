"""API: no scene visit, body not received here."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import actions
from cases.api.serializers import ReasonInput
from cases.api.shared import case_seen
from cases.models import NotDone
from me_office.shell.api import REFUSALS, checked


class NotDoneInput(serializers.Serializer[Any]):
    """What was not done, and why."""

    id = serializers.UUIDField(help_text="Key of the statement, made by the client")
    kind = serializers.ChoiceField(NotDone.KINDS)
    reason = serializers.CharField()


class NotDoneOutput(serializers.ModelSerializer[NotDone]):
    """A statement that something was not done."""

    class Meta:
        model = NotDone
        fields = ("id", "version", "voided_at", "kind", "why")


class StatedNotDone(APIView):
    """What was not done in one case."""

    @extend_schema(
        operation_id="not_done_list", responses={200: NotDoneOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return what is stated."""
        case = case_seen(request, case_id, "not done")
        return Response(NotDoneOutput(NotDone.objects.standing().filter(case=case), many=True).data)

    @extend_schema(
        operation_id="not_done_state",
        request=NotDoneInput,
        responses={201: NotDoneOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """State it; the same id again returns the same statement."""
        said = checked(NotDoneInput, request)
        stated = actions.state_not_done(
            request.user, case_id=case_id, record_id=said.pop("id"), **said
        )
        return Response(NotDoneOutput(stated).data, status=201)


class VoidNotDone(APIView):
    """Withdraws such a statement."""

    @extend_schema(
        operation_id="not_done_void",
        request=ReasonInput,
        responses={200: NotDoneOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, record_id: UUID) -> Response:
        """Withdraw it, with the reason."""
        said = checked(ReasonInput, request)
        voided = actions.void_not_done(request.user, record_id=record_id, **said)
        return Response(NotDoneOutput(voided).data)
