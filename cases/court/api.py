"""API of requests and subpoenas."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.shared import CASE, framed, key
from cases.court import actions, queries
from cases.court.models import RecordsRequest, Release
from me_office.shell.endpoints import adds, at, changes, lists, reads


class RequestInput(serializers.ModelSerializer[RecordsRequest]):
    """What came; `id` is made by the client."""

    id = serializers.UUIDField()

    class Meta:
        model = RecordsRequest
        fields = ["id", *actions.REQUEST_FIELDS]
        validators: list[object] = []


class RequestChange(serializers.ModelSerializer[RecordsRequest]):
    """A correction, with the version that was read and the reason."""

    version = serializers.IntegerField(min_value=1)
    reason = serializers.CharField(write_only=True)

    class Meta:
        model = RecordsRequest
        fields = ["version", "reason", *actions.REQUEST_FIELDS]
        validators: list[object] = []


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


def _with_releases(asked: RecordsRequest) -> RecordsRequest:
    return queries.request_of(asked.case_id, asked.pk)


routes = [
    at(f"{CASE}/requests/", "requests",
       get=lists("requests_list", key(framed("court")), queries.requests_of, RequestOutput,
           "Return the case's requests, open ones first."),
       post=adds("requests_log", actions.log_request, RequestInput, RequestOutput,
           "Log a request; the same id again gets the same request.", shown=_with_releases)),
    at(f"{CASE}/requests/<uuid:request_id>/", "request",
       get=reads("requests_read", key(framed("court")), queries.request_of, RequestOutput,
           "Return the request."),
       put=changes("requests_change", actions.change_request, RequestChange, RequestOutput,
           "Correct an open request.", shown=_with_releases)),
    at(f"{CASE}/requests/<uuid:request_id>/withdraw/", "withdraw-request",
       post=changes("requests_withdraw", actions.withdraw_request, WithdrawInput, RequestOutput,
           "Withdraw the request, with the reason.", shown=_with_releases)),
]  # fmt: skip
