"""API of requests and subpoenas."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.course import case_frame
from cases.court import actions, queries
from cases.court.models import RecordsRequest, Release
from me_office.shell.api import REFUSALS, checked


class RequestInput(serializers.ModelSerializer[RecordsRequest]):
    """What came; `id` is made by the client."""

    id = serializers.UUIDField()

    class Meta:
        model = RecordsRequest
        fields = ["id", *actions.REQUEST_FIELDS]
        validators: list[Any] = []


class RequestChange(serializers.ModelSerializer[RecordsRequest]):
    """A correction, with the version that was read and the reason."""

    version = serializers.IntegerField(min_value=1)
    reason = serializers.CharField(write_only=True)

    class Meta:
        model = RecordsRequest
        fields = ["version", "reason", *actions.REQUEST_FIELDS]
        validators: list[Any] = []


class WithdrawInput(serializers.Serializer[Any]):
    """Closes a request without an answer."""

    version = serializers.IntegerField(min_value=1)
    reason = serializers.CharField()


class ReleaseOutput(serializers.ModelSerializer[Release]):
    """A packet that was handed over."""

    class Meta:
        model = Release
        fields = [
            "id",
            "version",
            "request",
            "packet_id",
            "packet_sha256",
            *actions.RELEASE_FIELDS,
        ]


class RequestOutput(serializers.ModelSerializer[RecordsRequest]):
    """A request with what was released for it."""

    releases = ReleaseOutput(many=True, source="made_releases")

    class Meta:
        model = RecordsRequest
        fields = [
            "id",
            "version",
            "state",
            *actions.REQUEST_FIELDS,
            "voided_at",
            "void_reason",
            "releases",
        ]


def _answer(case_id: UUID, request_id: UUID, *, status: int = 200) -> Response:
    return Response(RequestOutput(queries.request_of(case_id, request_id)).data, status=status)


class RequestsOfCase(APIView):
    """The requests of one case."""

    @extend_schema(
        operation_id="requests_list", responses={200: RequestOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the case's requests, open ones first."""
        case_frame(request.user, case_id, current="court")
        return Response(RequestOutput(queries.requests_of(case_id), many=True).data)

    @extend_schema(
        operation_id="requests_log",
        request=RequestInput,
        responses={201: RequestOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Log a request; the same id again gets the same request."""
        entry = checked(RequestInput, request)
        logged = actions.log_request(
            request.user, case_id=case_id, record_id=entry.pop("id"), entry=entry
        )
        return _answer(case_id, logged.pk, status=201)


class OneRequest(APIView):
    """One request."""

    @extend_schema(operation_id="requests_read", responses={200: RequestOutput, **REFUSALS})
    def get(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Return the request."""
        case_frame(request.user, case_id, current="court")
        return _answer(case_id, request_id)

    @extend_schema(
        operation_id="requests_change",
        request=RequestChange,
        responses={200: RequestOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Correct an open request."""
        entry = checked(RequestChange, request)
        version, reason = entry.pop("version"), entry.pop("reason")
        actions.change_request(
            request.user,
            case_id=case_id,
            request_id=request_id,
            version=version,
            entry=entry,
            reason=reason,
        )
        return _answer(case_id, request_id)


class WithdrawRequest(APIView):
    """Closes a request without an answer."""

    @extend_schema(
        operation_id="requests_withdraw",
        request=WithdrawInput,
        responses={200: RequestOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Withdraw the request, with the reason."""
        entry = checked(WithdrawInput, request)
        actions.withdraw_request(request.user, case_id=case_id, request_id=request_id, **entry)
        return _answer(case_id, request_id)
