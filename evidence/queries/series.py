"""Reads of series of photographs, and of what the photograph log lacks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Prefetch

from cases.models import Case
from evidence import rules
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
    """Return what the case's photograph log lacks, in four statements."""
    return rules.missing_pictures(_shots_of(case), _seen_in(case))


def proposed_series(case: Case) -> list[rules.Proposal]:
    """Return series that a person may confirm, in four statements."""
    return rules.proposed_series(_shots_of(case), _seen_in(case))


def missing_and_proposed(case: Case) -> tuple[list[rules.Lacking], list[rules.Proposal]]:
    """Return both of the above from the same four statements."""
    shots, seen = _shots_of(case), _seen_in(case)
    return rules.missing_pictures(shots, seen), rules.proposed_series(shots, seen)


LINE = ("id", "number", "view", "with_scale", "region", "shows", "place", "taken_at")


def _shots_of(case: Case) -> list[rules.Shot]:
    findings, series = defaultdict(set), defaultdict(set)
    links = PhotographFinding.objects.standing().filter(case=case, finding__voided_at=None)
    for photograph_id, finding_id in links.values_list("photograph_id", "finding_id"):
        findings[photograph_id].add(finding_id)
    held = SeriesPhotograph.objects.standing().filter(case=case, series__voided_at=None)
    for photograph_id, series_id in held.values_list("photograph_id", "series_id"):
        series[photograph_id].add(series_id)
    rows = Photograph.objects.standing().filter(case=case).order_by("number")
    return [
        rules.Shot(
            finding_ids=frozenset(findings[row["id"]]),
            series_ids=frozenset(series[row["id"]]),
            **row,
        )
        for row in rows.values(*LINE)
    ]


def _shot(row: Photograph) -> rules.Shot:
    return rules.Shot(**{name: getattr(row, name) for name in LINE})


def _seen_in(case: Case) -> list[rules.Seen]:
    rows = Finding.objects.standing().filter(case=case).order_by("number")
    return [
        rules.Seen(key, number, term, klass == FindingClass.INJURY)
        for key, number, term, klass in rows.values_list("pk", "number", "term", "klass")
    ]
