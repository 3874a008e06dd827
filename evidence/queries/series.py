"""Reads of series of photographs, and of what the photograph log lacks."""

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
from evidence import rules
from evidence.lacking.queries import keys_set_aside
from evidence.models import Photograph, PhotographFinding, PhotographSeries, SeriesPhotograph
from findings.models import Finding
from findings.rules import FindingClass
from me_office.audit.errors import NotKnown


@dataclass(frozen=True)
class SeriesShown:
    """A series with its members from further to nearer; each member has its photograph."""

    series: PhotographSeries
    members: Sequence[SeriesPhotograph]


def series_of(case: Case, *, photograph_id: UUID | None = None) -> list[SeriesShown]:
    """Return the standing series of a case, or those of one photograph; two statements."""
    rows = PhotographSeries.objects.standing().filter(case=case)
    if photograph_id is not None:
        held = SeriesPhotograph.objects.standing().filter(photograph=photograph_id)
        rows = rows.filter(pk__in=held.values("series"))
    members = Prefetch("members", queryset=_members(), to_attr="standing_members")
    return [_shown(series) for series in rows.prefetch_related(members).order_by("title", "id")]


def one_series(case: Case, series_id: UUID) -> SeriesShown:
    """Return a series of the case, also a withdrawn one. Raises NotKnown."""
    members = Prefetch("members", queryset=_members(), to_attr="standing_members")
    rows = PhotographSeries.objects.filter(case=case, pk=series_id)
    series = rows.prefetch_related(members).first()
    if series is None:
        raise NotKnown("There is no such series in this case.")
    return _shown(series)


def _members() -> Any:
    return (
        SeriesPhotograph.objects.standing()
        .filter(photograph__voided_at=None)
        .select_related("photograph", "photograph__file")
    )


def _shown(series: PhotographSeries) -> SeriesShown:
    def order(member: SeriesPhotograph) -> tuple[int, bool, int]:
        return rules.nearer_later(_shot(member.photograph))

    return SeriesShown(series, sorted(series.standing_members, key=order))  # type: ignore[attr-defined]


def series_for_update(case: Case, series_id: UUID) -> PhotographSeries:
    """Return a series of the case, locked. Raises NotKnown."""
    series: PhotographSeries | None = (
        PhotographSeries.objects.select_for_update().filter(case=case, pk=series_id).first()
    )
    if series is None:
        raise NotKnown("There is no such series in this case.")
    return series


def series_member(case: Case, member_id: UUID) -> SeriesPhotograph:
    """Return a standing place in a series. Raises NotKnown."""
    member: SeriesPhotograph | None = (
        SeriesPhotograph.objects.standing()
        .filter(case=case, pk=member_id)
        .select_related("series", "photograph")
        .first()
    )
    if member is None:
        raise NotKnown("There is no such photograph in this series.")
    return member


def missing_in_log(case: Case) -> list[rules.Lacking]:
    """Return what the case's photograph log lacks and nobody set aside, in three statements."""
    return missing_and_proposed(case)[0]


def proposed_series(case: Case) -> list[rules.Proposal]:
    """Return series that a person may confirm and nobody set aside, in three statements."""
    return missing_and_proposed(case)[1]


def missing_and_proposed(case: Case) -> tuple[list[rules.Lacking], list[rules.Proposal]]:
    """Return both of the above from the same three statements."""
    rows = _shots().filter(case=case).values_list(_as_shot(), flat=True)
    shots, seen, aside = shots_from(rows), _seen_in(case), keys_set_aside(case)
    return (
        [one for one in rules.missing_pictures(shots, seen) if one.key not in aside],
        [one for one in rules.proposed_series(shots, seen) if one.key not in aside],
    )


def shots_of_case() -> ArraySubquery:
    """Return the photographs of an outer query's case, for `shots_from`."""
    return ArraySubquery(_shots().filter(case=OuterRef("pk")).values(shot=_as_shot()))


def _shots() -> QuerySet[Photograph]:
    rows: QuerySet[Photograph] = Photograph.objects.standing().order_by("number")
    return rows


LINE = ("id", "number", "view", "with_scale", "region", "shows", "place", "taken_at")


def _as_shot() -> JSONObject:
    links = PhotographFinding.objects.standing().filter(
        photograph=OuterRef("pk"), finding__voided_at=None
    )
    held = SeriesPhotograph.objects.standing().filter(
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
    return rules.Shot(**{name: getattr(row, name) for name in LINE})


def _seen_in(case: Case) -> list[rules.Seen]:
    rows = Finding.objects.standing().filter(case=case).order_by("number")
    return [
        rules.Seen(key, number, term, klass == FindingClass.INJURY)
        for key, number, term, klass in rows.values_list("pk", "number", "term", "klass")
    ]
