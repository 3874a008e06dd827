"""Reads of measurements and derived copies."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Prefetch

from cases.models import Case
from evidence.measuring.models import DerivedCopy, Measurement, MeasurementUse
from evidence.models import Photograph
from findings.models import Finding
from me_office.audit.errors import NotKnown


def measurements_of(photograph: Photograph) -> list[Measurement]:
    """The standing measurements of a photograph, each with `standing_uses`; two statements."""
    uses = Prefetch(
        "uses",
        queryset=MeasurementUse.objects.standing().select_related("finding").order_by("id"),
        to_attr="standing_uses",
    )
    return list(
        Measurement.objects.standing()
        .filter(photograph=photograph)
        .select_related("finding", "created_by")
        .prefetch_related(uses)
        .order_by("number")
    )


def uses_of(finding: Finding) -> list[MeasurementUse]:
    """From which standing measurements a finding took its size, newest first; one statement."""
    return list(
        MeasurementUse.objects.standing()
        .filter(finding=finding, measurement__voided_at=None)
        .select_related("measurement__photograph")
        .order_by("-created_at", "-id")
    )


def measurement_of(case: Case, measurement_id: UUID) -> Measurement:
    """One measurement of a case, voided or not. Raises NotKnown."""
    found: Measurement | None = (
        Measurement.objects.filter(case=case, pk=measurement_id)
        .select_related("photograph__file", "finding")
        .first()
    )
    if found is None:
        raise NotKnown("There is no such measurement in this case.")
    return found


def copies_of(photograph: Photograph) -> list[DerivedCopy]:
    """The standing copies of a photograph by number, with their files; one statement."""
    return list(
        DerivedCopy.objects.standing()
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
    if found is None:
        raise NotKnown("There is no such copy in this case.")
    return found
