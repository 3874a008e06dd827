"""Endpoints of outlines on photographs and of series."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.access import Act, case_for
from cases.api.shared import case_seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.photographs import actions
from evidence.photographs import queries as photograph_queries
from evidence.photographs import serializers as s
from evidence.photographs.queries import SeriesShown
from me_office.shell.api import REFUSALS, checked


class OutlineSerializer(serializers.Serializer[Any]):
    """A pointer or an outline, or null to take it away."""

    version = serializers.IntegerField(min_value=0)
    outline = serializers.ListField(
        child=serializers.ListField(
            child=serializers.FloatField(min_value=0, max_value=1), min_length=2, max_length=2
        ),
        allow_null=True,
        help_text="[x, y] of the upright picture, 0 to 1 from its upper left; one point is a "
        "pointer, three or more an outline",
    )
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)


class SeriesMemberSerializer(serializers.Serializer[Any]):
    """A photograph's place in a series."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    photograph = serializers.UUIDField(source="photograph_id")
    number = serializers.IntegerField(source="photograph.number")
    view = serializers.CharField(source="photograph.view")
    with_scale = serializers.BooleanField(source="photograph.with_scale")


class SeriesSerializer(serializers.Serializer[Any]):
    """A series, its photographs from further to nearer."""

    id = serializers.UUIDField(source="series.id")
    version = serializers.IntegerField(source="series.version")
    title = serializers.CharField(source="series.title")
    voided_at = serializers.DateTimeField(source="series.voided_at", allow_null=True)
    photographs = serializers.SerializerMethodField()

    @extend_schema_field(SeriesMemberSerializer(many=True))
    def get_photographs(self, shown: SeriesShown) -> Any:
        """Return the members in their order."""
        return SeriesMemberSerializer(shown.members, many=True).data


class NewSeriesSerializer(serializers.Serializer[Any]):
    """A new series."""

    id = serializers.UUIDField(help_text="Made by the client; the same again is the same record")
    title = serializers.CharField(max_length=120)
    photographs = serializers.ListField(
        child=serializers.UUIDField(), min_length=2, source="photograph_ids"
    )
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)


class NewSeriesMemberSerializer(serializers.Serializer[Any]):
    """A photograph to add to a series."""

    id = serializers.UUIDField()
    photograph = serializers.UUIDField()


class PhotographOutlineView(APIView):
    """Where a photograph shows a finding."""

    @extend_schema(
        operation_id="photograph_outline_finding",
        request=OutlineSerializer,
        responses={200: s.PhotographLinkSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, link_id: UUID) -> Response:
        """Point at a finding on the picture, or outline it."""
        body = checked(OutlineSerializer, request)
        link = actions.outline_finding(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            link_id=link_id,
            version=body["version"],
            entry={"outline": body["outline"]},
            reason=body.get("reason", ""),
        )
        return Response(s.PhotographLinkSerializer(link).data)


class SeriesListView(APIView):
    """Series of photographs."""

    @extend_schema(
        operation_id="photograph_series_list",
        responses={200: SeriesSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the standing series with their photographs."""
        case = case_seen(request, case_id, "photographs")
        return Response(SeriesSerializer(photograph_queries.series_of(case), many=True).data)

    @extend_schema(
        operation_id="photograph_series_make",
        request=NewSeriesSerializer,
        responses={201: SeriesSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Say that photographs show the same area."""
        body = checked(NewSeriesSerializer, request)
        series = actions.make_series(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body.pop("id"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(_as_shown(request, series.pk, case_id), status=status.HTTP_201_CREATED)


class SeriesPhotographsView(APIView):
    """Photographs of one series."""

    @extend_schema(
        operation_id="photograph_series_add",
        request=NewSeriesMemberSerializer,
        responses={201: SeriesSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, series_id: UUID) -> Response:
        """Add a photograph to a series."""
        body = checked(NewSeriesMemberSerializer, request)
        actions.add_to_series(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body["id"],
            series_id=series_id,
            photograph_id=body["photograph"],
        )
        return Response(_as_shown(request, series_id, case_id), status=status.HTTP_201_CREATED)


class SeriesVoidView(APIView):
    """Withdrawing a series."""

    @extend_schema(
        operation_id="photograph_series_void",
        request=EvidenceVoidSerializer,
        responses={200: SeriesSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, series_id: UUID) -> Response:
        """Withdraw a series; its photographs stay."""
        body = checked(EvidenceVoidSerializer, request)
        actions.void_series(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            series_id=series_id,
            **body,
        )
        return Response(_as_shown(request, series_id, case_id))


class SeriesMemberVoidView(APIView):
    """Taking a photograph out of a series."""

    @extend_schema(
        operation_id="photograph_series_take",
        request=EvidenceVoidSerializer,
        responses={200: SeriesSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, member_id: UUID) -> Response:
        """Take a photograph out of its series; the photograph stays."""
        body = checked(EvidenceVoidSerializer, request)
        member = actions.take_from_series(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            member_id=member_id,
            **body,
        )
        return Response(_as_shown(request, member.series_id, case_id))


def _as_shown(request: Request, series_id: UUID, case_id: UUID) -> Any:
    case = case_for(request.user, Act.SEE, case_id)  # type: ignore[arg-type]
    return SeriesSerializer(photograph_queries.one_series(case, series_id)).data
