"""Endpoints of outlines on photographs and of series."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from cases.api.shared import CASE, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.photographs import actions
from evidence.photographs import queries as photograph_queries
from evidence.photographs import serializers as s
from evidence.photographs.models import PhotographSeries, SeriesPhotograph
from evidence.photographs.queries import SeriesShown
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape


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


class SeriesMemberSerializer(NewShape):
    """A photograph's place in a series."""

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


class NewSeriesMemberSerializer(NewShape):
    """A photograph to add to a series."""

    photograph = serializers.UUIDField()


def _shown(series: PhotographSeries) -> SeriesShown:
    return photograph_queries.one_series(series.case, series.pk)


def _shown_around(member: SeriesPhotograph) -> SeriesShown:
    return photograph_queries.one_series(member.case, member.series_id)


routes = [
    at(f"{CASE}/photograph-links/<uuid:link_id>/outline/", "photograph-outline",
       post=changes("photograph_outline_finding", actions.outline_finding, OutlineSerializer,
           s.PhotographLinkSerializer, "Point at a finding on the picture, or outline it.")),
    at(f"{CASE}/photograph-series/", "series",
       get=lists("photograph_series_list", seen("photographs"), photograph_queries.series_of,
           SeriesSerializer, "List the standing series with their photographs."),
       post=adds("photograph_series_make", actions.make_series, NewSeriesSerializer,
           SeriesSerializer, "Say that photographs show the same area.", shown=_shown)),
    at(f"{CASE}/photograph-series/<uuid:series_id>/photographs/", "series-photographs",
       post=adds("photograph_series_add", actions.add_to_series, NewSeriesMemberSerializer,
           SeriesSerializer, "Add a photograph to a series.", shown=_shown_around)),
    at(f"{CASE}/photograph-series/<uuid:series_id>/void/", "series-void",
       post=changes("photograph_series_void", actions.void_series, EvidenceVoidSerializer,
           SeriesSerializer, "Withdraw a series; its photographs stay.", shown=_shown)),
    at(f"{CASE}/photograph-series-members/<uuid:member_id>/void/", "series-member-void",
       post=changes("photograph_series_take", actions.take_from_series, EvidenceVoidSerializer,
           SeriesSerializer,
           "Take a photograph out of its series; the photograph stays.", shown=_shown_around)),
]  # fmt: skip
