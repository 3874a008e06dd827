"""API of redactions."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.exhibits import actions, queries, redacting
from cases.exhibits.api import ExhibitReason
from cases.exhibits.models import Redaction, RedactionRequest
from evidence.queries import case_to_see, photograph_of
from me_office.shell.api import REFUSALS, checked


class ExhibitRetry(serializers.Serializer[Any]):
    """Tries again to make what was asked for."""

    version = serializers.IntegerField(min_value=1)


class RegionInput(serializers.Serializer[Any]):
    """A region: two corners of a rectangle, or the corners of a polygon, in order."""

    shape = serializers.ChoiceField(choices=["rectangle", "polygon"])
    manner = serializers.ChoiceField(choices=["cover", "blur"])
    points = serializers.ListField(
        child=serializers.ListField(
            child=serializers.IntegerField(min_value=0), min_length=2, max_length=2
        ),
        max_length=60,
        help_text="In points of the upright original, from its upper left",
    )


class RedactionInput(serializers.Serializer[Any]):
    """Regions to hide for good; `version` is the standing redaction's, 0 where none stands."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=0)
    regions = RegionInput(many=True)
    reason = serializers.CharField()


class RedactionRequestOutput(serializers.ModelSerializer[RedactionRequest]):
    """A redacted copy that was asked for, and how far it is."""

    percent = serializers.IntegerField(read_only=True)
    step = serializers.CharField(read_only=True)

    class Meta:
        model = RedactionRequest
        fields = [
            "id", "version", "photograph", "regions", "why", "state", "percent", "step", "failure",
        ]  # fmt: skip


class RedactionOutput(serializers.ModelSerializer[Redaction]):
    """A redaction: what was hidden and why, what the copy was made from and with."""

    sha256 = serializers.CharField(source="file.sha256", read_only=True)
    reason = serializers.CharField(source="why", read_only=True)

    class Meta:
        model = Redaction
        fields = [
            "id",
            "version",
            "photograph",
            "regions",
            "reason",
            "parent_sha256",
            "operations",
            "software",
            "sha256",
            "voided_at",
            "void_reason",
        ]


class RedactionsOfPhotograph(APIView):
    """The redactions of one photograph."""

    @extend_schema(
        operation_id="redactions_list", responses={200: RedactionOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Return every redaction that was made, the newest first."""
        case = case_to_see(request.user, case_id)
        rows = queries.redactions_of(case, photograph_of(case, photograph_id))
        return Response(RedactionOutput(rows, many=True).data)

    @extend_schema(
        operation_id="redactions_ask",
        request=RedactionInput,
        responses={202: RedactionRequestOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, photograph_id: UUID) -> Response:
        """Ask for a copy in which regions are covered or blurred; a worker makes it, same id."""
        entry = checked(RedactionInput, request)
        asked = redacting.ask(
            request.user,
            case_id=case_id,
            photograph_id=photograph_id,
            record_id=entry["id"],
            version=entry["version"],
            entries=entry["regions"],
            reason=entry["reason"],
        )
        shown = queries.redaction_request_of(asked.case, asked.pk)
        return Response(RedactionRequestOutput(shown).data, status=202)


class OneRedactionRequest(APIView):
    """A redacted copy that was asked for."""

    @extend_schema(
        operation_id="redaction_requests_read",
        responses={200: RedactionRequestOutput, **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Return how far it is; when it is made, the redaction of the same id is in the list."""
        case = case_to_see(request.user, case_id)
        return Response(RedactionRequestOutput(queries.redaction_request_of(case, request_id)).data)


class RetryRedaction(APIView):
    """Tries again."""

    @extend_schema(
        operation_id="redaction_requests_retry",
        request=ExhibitRetry,
        responses={200: RedactionRequestOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, request_id: UUID) -> Response:
        """Try again to make a redacted copy that was not made."""
        entry = checked(ExhibitRetry, request)
        asked = actions.retry_redaction(
            request.user, case_id=case_id, request_id=request_id, **entry
        )
        shown = queries.redaction_request_of(asked.case, asked.pk)
        return Response(RedactionRequestOutput(shown).data)


class TakeBackRedaction(APIView):
    """Takes a redaction back."""

    @extend_schema(
        operation_id="redactions_take_back",
        request=ExhibitReason,
        responses={200: RedactionOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, redaction_id: UUID) -> Response:
        """Show the photograph as it is from now on, with the reason."""
        entry = checked(ExhibitReason, request)
        taken_back = actions.void_redaction(
            request.user, case_id=case_id, redaction_id=redaction_id, **entry
        )
        return Response(RedactionOutput(taken_back).data)
