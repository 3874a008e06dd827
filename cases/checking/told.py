"""Findings and their measurements as the rules compare them; everything was read before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol
from uuid import UUID

from cases.checking import places
from cases.checking.disagreements import MeasuredLength, Told, side_said
from evidence.measuring.models import Measurement
from evidence.measuring.rules import size_mm
from findings.models import Finding
from findings.rules import MeasuredBy

_SIDES = ("left", "right")


class Measured(Protocol):
    """What was read of a case, with its active measurements."""

    @property
    def measurements(self) -> Sequence[Measurement]:
        """Those of the whole case, with `active_uses`."""


def regions_of(findings: Iterable[Finding]) -> list[str]:
    """The regions on which findings are marked, each once, in the order of marks."""
    return list(
        dict.fromkeys(
            mark.region
            for finding in findings
            for mark in finding.marks.all()
            if mark.region and not mark.is_voided
        )
    )


def told_of(finding: Finding) -> Told:
    """A finding as the rules compare it; needs what `findings_of` fetches."""
    regions = regions_of([finding])
    side = places.side_of(regions)
    if side != "both" and side not in _SIDES:
        # Across the midline, or without a mark: the words say which side.
        side = side_said(finding.place)
    sizes = [finding.length_mm, finding.width_mm, finding.depth_mm]
    return Told(
        finding.number,
        finding.term,
        side=side if side in _SIDES else "",
        bases=sorted(places.bases_of(regions)),
        sizes_mm=[float(one) for one in sizes if one is not None],
        length_mm=None if finding.length_mm is None else float(finding.length_mm),
        width_mm=None if finding.width_mm is None else float(finding.width_mm),
        measured_by=finding.measured_by,
        place=finding.place,
        words=f"{finding.seen_as} {finding.sentence}",
    )


def lengths_of(read: Measured, finding: Finding) -> list[MeasuredLength]:
    """The lengths on photographs that are kept for a finding, with their limits as shown."""
    given = gives(read, finding)
    return [
        _length(one, finding, given.get(one.pk, ""))
        for one in measurements_about(read, finding)
        if one.is_length
    ]


def _length(one: Measurement, finding: Finding, given: str) -> MeasuredLength:
    quantity = one.shown["quantities"][0]
    used = [use.dimension for use in one.active_uses if use.finding_id == finding.pk]
    return MeasuredLength(
        finding.number,
        one.photograph.number,
        one.number,
        float(quantity["value"]),
        quantity["low"],
        quantity["high"],
        one.short_words,
        given or (used[0] if len(set(used)) == 1 else ""),
        one.note,
    )


def measurements_about(read: Measured, finding: Finding) -> list[Measurement]:
    """The measurements that are kept for a finding, or gave it a size, by photograph."""
    return [
        one
        for one in read.measurements
        if one.finding_id == finding.pk
        or any(use.finding_id == finding.pk for use in one.active_uses)
    ]


def gives(read: Measured, finding: Finding) -> dict[UUID, str]:
    """Which measurement gives the finding its length or width now, by its key.

    Of several the latest counts. A size that was typed since comes from no photograph.
    """
    uses = (
        sorted(
            (use.created_at, use.pk, use.dimension, one)
            for one in read.measurements
            for use in one.active_uses
            if use.finding_id == finding.pk
        )
        if finding.measured_by == MeasuredBy.PHOTOGRAPH
        else []
    )
    latest = {dimension: one for _, _, dimension, one in uses}
    found: dict[UUID, str] = {}
    for dimension, one in latest.items():
        if size_mm(one.result) == getattr(finding, f"{dimension}_mm"):
            found[one.pk] = f"{found[one.pk]} and {dimension}" if one.pk in found else dimension
    return found
