"""The examination, its organ weights, and the rows that an action locks."""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.db import models

from cases.lividity_rules import SceneLividity
from cases.models import Case, CaseRecord, Scene
from cases.queries.file import moved_of, places_of
from findings.models import (
    Examination,
    Finding,
    Interpretation,
    LayerFinding,
    Lividity,
    Mark,
    OrganWeight,
    Rigor,
    WoundPath,
)
from me_office.audit.errors import NotKnown, Refused

RowT = TypeVar("RowT", bound=CaseRecord)


def examination_of(case: Case) -> Examination | None:
    """The examination of a case, or None while it is not opened."""
    found: Examination | None = (
        Examination.objects.filter(case=case).select_related("pathologist").first()
    )
    return found


def examination_has_ended(case_id: UUID) -> bool:
    """Tell whether the examination of a case has an end."""
    return Examination.objects.filter(case_id=case_id, ended_at__isnull=False).exists()


def examination_for_update(case: Case) -> Examination:
    """The examination, locked until the transaction ends. Raises Refused when not opened."""
    found: Examination | None = (
        Examination.objects.select_for_update().filter(case=case).order_by("pk").first()
    )
    if found is None:
        raise Refused("Open the examination first.")
    return found


def _for_update(model: type[RowT], case: Case, record_id: UUID, what: str) -> RowT:
    rows: models.QuerySet[RowT] = model._default_manager.all()  # type: ignore[assignment]
    row = rows.select_for_update().filter(pk=record_id, case=case).first()
    if row is None:
        raise NotKnown(f"There is no such {what} in this case.")
    return row


def finding_for_update(case: Case, finding_id: UUID) -> Finding:
    """A finding of the case, locked. Raises NotKnown."""
    return _for_update(Finding, case, finding_id, "finding")


def mark_for_update(case: Case, mark_id: UUID) -> Mark:
    """A mark of the case, locked. Raises NotKnown."""
    return _for_update(Mark, case, mark_id, "mark")


def layer_for_update(case: Case, layer_id: UUID) -> LayerFinding:
    """A layer of the case, locked. Raises NotKnown."""
    return _for_update(LayerFinding, case, layer_id, "layer")


def interpretation_for_update(case: Case, interpretation_id: UUID) -> Interpretation:
    """An interpretation of the case, locked. Raises NotKnown."""
    return _for_update(Interpretation, case, interpretation_id, "interpretation")


def organ_weight_for_update(case: Case, organ_weight_id: UUID) -> OrganWeight:
    """An organ weight of the case, locked. Raises NotKnown."""
    return _for_update(OrganWeight, case, organ_weight_id, "organ weight")


def wound_path_for_update(case: Case, path_id: UUID) -> WoundPath:
    """A wound path of the case, locked. Raises NotKnown."""
    return _for_update(WoundPath, case, path_id, "wound path")


def lividity_for_update(case: Case, lividity_id: UUID) -> Lividity:
    """A lividity row of the case, locked. Raises NotKnown."""
    return _for_update(Lividity, case, lividity_id, "lividity row")


def rigor_for_update(case: Case, rigor_id: UUID) -> Rigor:
    """A rigor row of the case, locked. Raises NotKnown."""
    return _for_update(Rigor, case, rigor_id, "rigor row")


def organ_weights_of(case: Case) -> list[OrganWeight]:
    """The standing organ weights of a case, in the order in which organs are listed."""
    order = {organ: place for place, (organ, _) in enumerate(OrganWeight.ORGANS)}
    rows: list[OrganWeight] = list(
        OrganWeight.objects.standing().filter(case=case).order_by("created_at", "pk")
    )
    return sorted(rows, key=lambda row: order[row.organ])


def scene_lividity(examination: Examination) -> SceneLividity:
    """Position, lividity and moving of the body as the scene says; empty when not stated."""
    scene = Scene.objects.filter(case=examination.case_id).order_by("pk").first()
    if scene is None:
        return SceneLividity()
    seen_at = scene.lividity_seen_at or scene.left_at
    hours = (examination.began_at - seen_at).total_seconds() / 3600 if seen_at else None
    return SceneLividity(
        position=scene.position,
        where=scene.lividity_where,
        blanching=scene.lividity_blanching,
        moved=moved_of(scene.moved_before, places_of(examination.case_id)),
        hours=hours,
    )
