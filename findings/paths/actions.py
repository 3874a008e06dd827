"""Wound paths: from an entrance through structures to an end."""

from __future__ import annotations

from findings.actions import refuse
from findings.actions.parts import Part
from findings.paths.models import WoundPath
from findings.rules import wrong_with_path
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


PATH = Part(WoundPath, "path_id", PATH_FIELDS, named="wound path", check=_check)
# Coordinates left out of an entry follow from the findings.
record_path = PATH.adds_to_finding("record_path")
change_path = PATH.changes("change_path")
void_path = PATH.voids("void_path")
