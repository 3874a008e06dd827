"""Reads of series of photographs, and of what the rules of the log read of each photograph."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, Prefetch, QuerySet
from django.db.models.functions import JSONObject

from cases.models import Case
from evidence.photographs import rules
from evidence.photographs.models import (
    Photograph,
    PhotographFinding,
    PhotographSeries,
    SeriesPhotograph,
)
from me_office.audit.errors import known, known_of_office
from me_office.audit.fields import said_of


@dataclass(frozen=True)
class SeriesShown:
    """A series with its members from further to nearer; each member has its photograph."""

    series: PhotographSeries
    members: Sequence[SeriesPhotograph]


def series_of(case: Case, *, photograph_id: UUID | None = None) -> list[SeriesShown]:
    """Return the active series of a case, or those of one photograph; two statements."""
    rows = PhotographSeries.objects.active().filter(case=case)
    if photograph_id is not None:
        held = SeriesPhotograph.objects.active().filter(photograph=photograph_id)
        rows = rows.filter(pk__in=held.values("series"))
    members = Prefetch("members", queryset=_members())
    return [_shown(series) for series in rows.prefetch_related(members).order_by("title", "id")]


def one_series(case: Case, series_id: UUID) -> SeriesShown:
    """Return a series of the case, also a withdrawn one. Raises NotKnown."""
    members = Prefetch("members", queryset=_members())
    rows = PhotographSeries.objects.filter(case=case, pk=series_id)
    series = known(rows.prefetch_related(members).first(), "series")
    return _shown(series)


def _members() -> QuerySet[SeriesPhotograph]:
    return (
        SeriesPhotograph.objects.active()
        .filter(photograph__voided_at=None)
        .select_related("photograph", "photograph__file")
    )


def _shown(series: PhotographSeries) -> SeriesShown:
    def order(member: SeriesPhotograph) -> tuple[int, bool, int]:
        return rules.nearer_later(_shot(member.photograph))

    # Read ahead: those that stand (`_members`).
    return SeriesShown(series, sorted(series.members.all(), key=order))


def series_for_update(case: Case, series_id: UUID) -> PhotographSeries:
    """Return a series of the case, locked. Raises NotKnown."""
    series: PhotographSeries | None = (
        PhotographSeries.objects.select_for_update().filter(case=case, pk=series_id).first()
    )
    return known(series, "series")


def series_member(case: Case, member_id: UUID) -> SeriesPhotograph:
    """Return an active place in a series. Raises NotKnown."""
    member: SeriesPhotograph | None = (
        SeriesPhotograph.objects.active()
        .filter(case=case, pk=member_id)
        .select_related("series", "photograph")
        .first()
    )
    return known_of_office(member, "photograph in this series")


def shots_of_case() -> ArraySubquery:
    """Return the photographs of an outer query's case, for `shots_from`."""
    return ArraySubquery(shots_that_count().filter(case=OuterRef("pk")).values(shot=as_shot()))


def shots_that_count() -> QuerySet[Photograph]:
    """Return the photographs that count, by number."""
    rows: QuerySet[Photograph] = Photograph.objects.active().order_by("number")
    return rows


LINE = ("id", "number", "view", "with_scale", "region", "shows", "place", "taken_at")


def as_shot() -> JSONObject:
    """Return a photograph with its findings and series as one value of the database."""
    links = PhotographFinding.objects.active().filter(
        photograph=OuterRef("pk"), finding__voided_at=None
    )
    held = SeriesPhotograph.objects.active().filter(
        photograph=OuterRef("pk"), series__voided_at=None
    )
    return JSONObject(
        **{name: name for name in LINE},
        finding_ids=ArraySubquery(links.values("finding_id")),
        series_ids=ArraySubquery(held.values("series_id")),
    )


def shots_from(rows: Iterable[dict[str, Any]]) -> list[rules.Shot]:
    """Return photographs as the rules see them, from what the database put together."""
    return [
        rules.Shot(
            **{name: row[name] for name in LINE if name not in {"id", "taken_at"}},
            id=UUID(row["id"]),
            taken_at=datetime.fromisoformat(row["taken_at"]) if row["taken_at"] else None,
            finding_ids=frozenset(UUID(key) for key in row["finding_ids"]),
            series_ids=frozenset(UUID(key) for key in row["series_ids"]),
        )
        for row in rows
    ]


def _shot(row: Photograph) -> rules.Shot:
    return rules.Shot(**said_of(row, LINE))
