"""Wound paths: from an entrance through structures to an end."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions import opened, refuse, require_changeable
from findings.models import Finding
from findings.paths.models import WoundPath
from findings.paths.queries import wound_path_for_update
from findings.queries import finding_for_update
from findings.rules import wrong_with_path
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields

PATH_FIELDS = (
    "structures",
    "ends_as",
    "exit_finding",
    "end_words",
    "entrance_above_heel_cm",
    "entrance_from_midline_cm",
    "end_above_heel_cm",
    "end_from_midline_cm",
    "depth_cm",
    "depth_way",
)


@action
def record_path(
    actor: Staff,
    *,
    case_id: UUID,
    finding_id: UUID,
    record_id: UUID,
    entry: Mapping[str, object],
    reason: str = "",
) -> WoundPath:
    """Record the path of a wound; `entry` takes any of PATH_FIELDS.

    Coordinates left out follow from the findings. Raises NotKnown, NotAllowed, Refused, Invalid,
    Conflict.
    """
    case, examination = opened(actor, case_id)
    finding = finding_for_update(case, finding_id)
    path = WoundPath(pk=record_id, case=case, finding=finding)
    set_fields(path, entry, PATH_FIELDS, whole=True)
    there = recorded_before(path)
    if there is not None:
        return there
    require_changeable(finding, "finding", examination, reason)
    _check(finding, path)
    return save_new(actor, path)


@action
def change_path(
    actor: Staff,
    *,
    case_id: UUID,
    path_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str = "",
) -> WoundPath:
    """Change a wound path. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid."""
    case, examination = opened(actor, case_id)
    path = wound_path_for_update(case, path_id)
    require_version(path, version)
    require_changeable(path, "wound path", examination, reason)
    set_fields(path, entry, PATH_FIELDS, whole=True)
    _check(path.finding, path)
    return save_next_version(actor, path)


@action
def void_path(
    actor: Staff, *, case_id: UUID, path_id: UUID, version: int, reason: str
) -> WoundPath:
    """Void a wound path. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case, _ = opened(actor, case_id)
    path = wound_path_for_update(case, path_id)
    require_version(path, version)
    return void(actor, path, reason=reason)


def _check(finding: Finding, path: WoundPath) -> None:
    other = path.exit_finding
    if other is not None and (other.case_id != finding.case_id or other.is_voided):
        raise Refused("There is no such finding in this case.", field="exit_finding")
    refuse(
        wrong_with_path(
            klass=finding.klass,
            ends_as=path.ends_as,
            has_exit_finding=other is not None,
            end_words=path.end_words,
            same_finding=other is not None and other.pk == finding.pk,
        )
    )
