"""Reads of the kept calculations, and of what the case file knows for their inputs."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Prefetch

from cases.models import Case, ReportOfDeath, Scene, SceneReading
from findings.computing.models import Calculation
from findings.models import Examination, Finding, Mark
from findings.organs.models import OrganWeight
from findings.paths.models import WoundPath
from findings.rules import FindingClass
from me_office.audit.errors import known


def calculations_of(case: Case, *, method: str = "") -> list[Calculation]:
    """The active calculations of a case, newest first; of one method if it is named."""
    rows = Calculation.objects.active().filter(case=case)
    if method:
        rows = rows.filter(method=method)
    return list(rows.select_related("made_by").order_by("-made_at", "-pk"))


def calculation_of(case: Case, calculation_id: UUID) -> Calculation:
    """One calculation of a case, voided or not. Raises NotKnown."""
    found: Calculation | None = (
        Calculation.objects.filter(case=case, pk=calculation_id)
        .select_related("made_by", "voided_by")
        .first()
    )
    return known(found, "calculation")


def calculation_for_update(case: Case, calculation_id: UUID) -> Calculation:
    """A calculation of the case, locked until the transaction ends. Raises NotKnown."""
    found: Calculation | None = (
        Calculation.objects.select_for_update().filter(case=case, pk=calculation_id).first()
    )
    return known(found, "calculation")


def report_of_death(case: Case) -> ReportOfDeath | None:
    """The report of death."""
    return ReportOfDeath.objects.filter(case=case).first()


def scene_of(case: Case) -> Scene | None:
    """The scene."""
    return Scene.objects.filter(case=case).first()


def readings_of(case: Case) -> list[SceneReading]:
    """The active temperatures of the scene in their order."""
    return list(SceneReading.objects.active().filter(case=case).order_by("read_at", "pk"))


def examination_of(case: Case) -> Examination | None:
    """The examination."""
    found: Examination | None = Examination.objects.filter(case=case).first()
    return found


def weights_of(case: Case) -> list[OrganWeight]:
    """The active organ weights."""
    return list(OrganWeight.objects.active().filter(case=case).order_by("created_at", "pk"))


def injuries_of(case: Case) -> list[Finding]:
    """The active injuries by number, with their marks and wound paths; three statements."""
    paths = WoundPath.objects.active().select_related("exit_finding")
    return list(
        Finding.objects.active()
        .filter(case=case, klass=FindingClass.INJURY.value)
        .select_related("examination")
        .prefetch_related(Prefetch("marks", Mark.objects.active().order_by("created_at", "pk")))
        .prefetch_related(Prefetch("paths", paths.order_by("created_at", "pk")))
        .order_by("number")
    )
