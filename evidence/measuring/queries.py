"""Reads of measurements and derived copies."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from cases.models import Case
from cases.queries import locked_after_case
from evidence.measuring.models import (
    CopyRequest,
    DerivedCopy,
    Measurement,
    MeasurementUse,
    active_uses,
)
from evidence.photographs.models import Photograph, PhotographFinding
from findings.models import Finding
from me_office.audit.errors import known
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import JobState


def _uses() -> Prefetch[str, QuerySet[MeasurementUse], str]:
    return Prefetch("uses", active_uses(), to_attr="active_uses")


def measurements_of(photograph: Photograph) -> list[Measurement]:
    """The active measurements of a photograph, each with `active_uses`; two statements."""
    return list(
        Measurement.objects.active()
        .filter(photograph=photograph)
        .select_related("finding", "created_by")
        .prefetch_related(_uses())
        .order_by("number")
    )


def measurements_in(case: Case) -> list[Measurement]:
    """The active measurements of a case by photograph, as `measurements_of`; two statements."""
    return list(
        Measurement.objects.active()
        .filter(case=case, photograph__voided_at=None)
        .select_related("finding", "photograph", "created_by")
        .prefetch_related(_uses())
        .order_by("photograph__number", "number")
    )


def uses_of(finding: Finding) -> list[MeasurementUse]:
    """From which standing measurements a finding took its size, newest first; one statement."""
    return list(
        MeasurementUse.objects.active()
        .filter(finding=finding, measurement__voided_at=None)
        .select_related("measurement__photograph")
        .order_by("-created_at", "-id")
    )


def unused_of(finding: Finding, uses: Sequence[MeasurementUse]) -> list[Measurement]:
    """The active measurements kept for a finding that give neither its length nor its width."""
    return list(
        Measurement.objects.active()
        .filter(finding=finding, photograph__voided_at=None)
        .exclude(pk__in=[use.measurement_id for use in uses])
        .select_related("photograph")
        .order_by("photograph__number", "number")
    )


def unnamed_near(finding: Finding) -> list[Measurement]:
    """The active measurements that name no finding, on photographs that show this one."""
    shows = PhotographFinding.objects.active().filter(
        finding=finding, photograph=OuterRef("photograph")
    )
    return list(
        Measurement.objects.active()
        .filter(Exists(shows), case=finding.case_id, finding=None, photograph__voided_at=None)
        .exclude(pk__in=MeasurementUse.objects.active().values("measurement"))
        .select_related("photograph")
        .order_by("photograph__number", "number")
    )


def measurement_of(case: Case, measurement_id: UUID) -> Measurement:
    """One measurement of a case, voided or not. Raises NotKnown."""
    found: Measurement | None = (
        Measurement.objects.filter(case=case, pk=measurement_id)
        .select_related("photograph__file", "finding")
        .first()
    )
    return known(found, "measurement")


def copy_request_for_update(request_id: UUID, *, case: Case | None = None) -> CopyRequest:
    """Return what was asked for, locked after its case. Raises NotKnown."""
    rows = CopyRequest.objects.filter(pk=request_id)
    rows = rows.select_related("case", "photograph", "measurement", "created_by")
    return locked_after_case(rows, "request for a copy", case=case)


def copy_request_of(case: Case, request_id: UUID) -> CopyRequest:
    """Return what was asked for with `percent` and `step`. Raises NotKnown."""
    found: CopyRequest | None = with_progress(
        CopyRequest.objects.filter(case=case, pk=request_id)
    ).first()
    return known(found, "request for a copy")


def copies_asked_for(photograph: Photograph) -> list[CopyRequest]:
    """The copies that are being made or were not made, with `percent` and `step`; one statement."""
    rows = CopyRequest.objects.active().filter(photograph=photograph)
    rows = rows.exclude(state=JobState.MADE.value).select_related("measurement", "created_by")
    return list(with_progress(rows).order_by("created_at", "id"))


def copies_of(photograph: Photograph) -> list[DerivedCopy]:
    """The active copies of a photograph by number, with their files; one statement."""
    return list(
        DerivedCopy.objects.active()
        .filter(photograph=photograph)
        .select_related("file", "measurement", "created_by")
        .order_by("number")
    )


def copy_of(case: Case, copy_id: UUID) -> DerivedCopy:
    """One copy of a case, voided or not. Raises NotKnown."""
    found: DerivedCopy | None = (
        DerivedCopy.objects.filter(case=case, pk=copy_id)
        .select_related("file", "photograph")
        .first()
    )
    return known(found, "copy")
