"""Wound paths: from an entrance through structures to an end."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from findings.actions import refuse
from findings.actions.parts import Kind
from findings.paths.models import WoundPath
from findings.rules import wrong_with_path
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused

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


def _check(path: WoundPath) -> None:
    finding, other = path.finding, path.exit_finding
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


PATH = Kind(WoundPath, PATH_FIELDS, named="wound path", check=_check)


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
    return PATH.add(actor, case_id, record_id, entry, reason, finding_id=finding_id)


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
    return PATH.change(actor, case_id, path_id, version, entry, reason)


@action
def void_path(
    actor: Staff, *, case_id: UUID, path_id: UUID, version: int, reason: str
) -> WoundPath:
    """Void a wound path. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    return PATH.void(actor, case_id, path_id, version, reason)
