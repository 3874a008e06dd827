"""API of what waits and of what is measured: the same numbers as the pages."""

from __future__ import annotations

from typing import Any

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import access
from cases.access import Act
from cases.measures import actions, mail_queries, queries, reading
from cases.measures.figures import OPEN_TO_YOU
from cases.measures.models import DailyMail
from cases.measures.waits import COUNTED_FROM, WaitKind, chosen
from me_office.accounts.requests import StaffApiRequest
from me_office.audit import looks
from me_office.shell.api import REFUSALS, checked
from me_office.shell.shapes import NewShape, shape_of


class WaitOutput(serializers.Serializer[Any]):
    """One thing that waits."""

    kind = serializers.ChoiceField(WaitKind.choices())
    case = serializers.UUIDField()
    number = serializers.CharField(help_text="Of the case, or what stands for it")
    person = serializers.CharField(help_text="Key of who has to act; empty where nobody is named")
    name = serializers.CharField()
    since = serializers.DateField()
    counted_from = serializers.CharField()
    days = serializers.IntegerField()
    examined_on = serializers.DateField(allow_null=True)
    waits_for = serializers.ListField(child=serializers.CharField())


class WaitingOutput(serializers.Serializer[Any]):
    """What waits, the oldest first; `more_of` names kinds of which there is more."""

    waits = WaitOutput(many=True)
    more_of = serializers.ListField(child=serializers.CharField())
    left_out = serializers.CharField()


class NumberOutput(serializers.Serializer[Any]):
    """One number of a figure."""

    key = serializers.CharField()
    words = serializers.CharField()
    count = serializers.IntegerField()
    note = serializers.CharField()


class FigureOutput(serializers.Serializer[Any]):
    """One thing that is measured: what it counts and what it leaves out."""

    key = serializers.CharField()
    title = serializers.CharField()
    counts = serializers.CharField()
    left_out = serializers.CharField()
    parts = NumberOutput(many=True)


class ShareOutput(serializers.Serializer[Any]):
    """How many were signed within so many days, of those that began longer ago than that."""

    days = serializers.IntegerField()
    signed = serializers.IntegerField()
    of = serializers.IntegerField()
    estimate = serializers.FloatField(
        allow_null=True, help_text="Kaplan-Meier estimate of the share of all, open ones included"
    )
    interval = serializers.ListField(
        child=serializers.FloatField(), allow_null=True, help_text="Its 95 % interval"
    )


class MeasuredOutput(serializers.Serializer[Any]):
    """The figures of a period."""

    first_day = serializers.DateField(source="period.first")
    last_day = serializers.DateField(source="period.last")
    counted_all = serializers.BooleanField(source="whole")
    shares = ShareOutput(many=True, source="turn_around.shares")
    median = serializers.CharField(source="turn_around.median_words")
    figures = FigureOutput(many=True)
    left_out = serializers.SerializerMethodField()

    def get_left_out(self, found: object) -> str:
        """Say which cases are in no figure."""
        return OPEN_TO_YOU


class MeasuredCaseOutput(serializers.Serializer[Any]):
    """One case behind a number."""

    case = serializers.UUIDField(source="case_id")
    number = serializers.CharField(source="label")
    person = serializers.CharField()
    began_on = serializers.DateField()
    ended_on = serializers.DateField(allow_null=True)
    days = serializers.IntegerField()
    detail = serializers.CharField()


_PERIOD = [
    OpenApiParameter("period", str, description="A year; without one, the last 12 months"),
    OpenApiParameter("kinds", str, description="all: examinations of every kind"),
]


def _measured(request: StaffApiRequest) -> reading.Measured:
    access.require_role(request.user, Act.SEE_MEASURES)
    asked = request.query_params
    return reading.measured(
        request.user, asked.get("period", ""), all_kinds=asked.get("kinds") == "all"
    )


class WaitingView(APIView):
    """What waits."""

    @extend_schema(
        operation_id="waiting_list",
        parameters=[OpenApiParameter("kind", str), OpenApiParameter("person", str)],
        responses={200: WaitingOutput, **REFUSALS},
    )
    def get(self, request: StaffApiRequest) -> Response:
        """List what waits for whom and since when; who is no supervisor is told their own."""
        access.require_role(request.user, Act.SEE_MEASURES)
        asked = {name: request.query_params.get(name, "") for name in ("kind", "person")}
        found, today = queries.waiting(request.user), queries.today()
        rows = chosen(found.waits, **asked)
        names = queries.names_of(one.person for one in rows)
        looks.note_list(request.user, "what waits", rows=len(rows), asked=asked)
        waits = [
            {
                "kind": one.kind.value, "case": one.case_id, "number": one.label,
                "person": one.person, "name": names.get(one.person, ""), "since": one.since,
                "counted_from": COUNTED_FROM[one.kind], "days": one.days(today),
                "examined_on": one.examined_on, "waits_for": list(one.reasons),
            }
            for one in rows
        ]  # fmt: skip
        said = {"waits": waits, "more_of": list(found.cut), "left_out": OPEN_TO_YOU}
        return Response(WaitingOutput(said).data)


class MeasuresView(APIView):
    """What the office is measured by."""

    @extend_schema(
        operation_id="measures_read", parameters=_PERIOD,
        responses={200: MeasuredOutput, **REFUSALS},
    )  # fmt: skip
    def get(self, request: StaffApiRequest) -> Response:
        """Return the figures of a period; who is no supervisor is told their own."""
        found = _measured(request)
        asked = request.query_params.dict()
        looks.note_list(request.user, "measures", rows=len(found.figures), asked=asked)
        return Response(MeasuredOutput(found).data)


class MeasuredCasesView(APIView):
    """The cases behind a number."""

    @extend_schema(
        operation_id="measures_cases",
        parameters=[OpenApiParameter("figure", str), OpenApiParameter("part", str), *_PERIOD],
        responses={200: MeasuredCaseOutput(many=True), **REFUSALS},
    )
    def get(self, request: StaffApiRequest) -> Response:
        """List the cases that one number of a figure counts."""
        found = _measured(request)
        asked = request.query_params.dict()
        _, part = found.part(str(asked.get("figure", "")), str(asked.get("part", "")))
        looks.note_list(request.user, "cases behind a measure", rows=part.count, asked=asked)
        return Response(MeasuredCaseOutput(part.rows, many=True).data)


class DailyMailInput(NewShape):
    """One's own choice; `id` is made by the client, `version` is the one that was read."""

    version = serializers.IntegerField(min_value=0, default=0)
    wanted = serializers.BooleanField(required=False)
    address = serializers.EmailField(required=False, allow_blank=True)


DailyMailOutput = shape_of(
    "DailyMailOutput", DailyMail, ("id", "version", "wanted", "address"),
    "Whether what waits is mailed to oneself, and to which address.",
)  # fmt: skip


class OwnDailyMail(APIView):
    """The daily mail of one's own account."""

    @extend_schema(operation_id="daily_mail_own", responses={200: DailyMailOutput})
    def get(self, request: StaffApiRequest) -> Response:
        """Read one's own choice; where none was made, version 0."""
        choice = mail_queries.daily_mail_of(request.user) or DailyMail(version=0)
        return Response(DailyMailOutput(choice).data)

    @extend_schema(
        operation_id="daily_mail_choose",
        request=DailyMailInput,
        responses={200: DailyMailOutput, **REFUSALS},
    )
    def put(self, request: StaffApiRequest) -> Response:
        """Choose whether it is sent, and to which address."""
        said = checked(DailyMailInput, request)
        key, version = said.pop("id"), said.pop("version")
        choice = actions.choose_daily_mail(request.user, record_id=key, version=version, entry=said)
        return Response(DailyMailOutput(choice).data)


routes = [
    path("own/daily-mail/", OwnDailyMail.as_view(), name="own-daily-mail"),
    path("waiting/", WaitingView.as_view(), name="waiting"),
    path("measures/", MeasuresView.as_view(), name="measures"),
    path("measures/cases/", MeasuredCasesView.as_view(), name="measures-cases"),
]
