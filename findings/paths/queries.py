"""Wound paths with their coordinates: what was measured, and what follows from the findings."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from findings.models import Finding, Mark
from findings.paths.models import WoundPath
from findings.paths.wound_paths import (
    Coordinate,
    Direction,
    PathPoints,
    direction_of,
    direction_words,
    missing_for_direction,
    path_words,
    rests_on_taps,
)
from findings.rules import FAR_ENDS


@dataclass(frozen=True)
class PathRow:
    """A wound path as the page shows it."""

    path: WoundPath
    words: str
    points: PathPoints
    direction: Direction | None
    direction_words: str
    missing: list[str]


def points_of(path: WoundPath, finding: Finding) -> PathPoints:
    """The coordinates of a path of this finding, each with its source."""
    far = _far_mark(finding)
    other = path.exit_finding
    return PathPoints(
        entrance_height=_coordinate(path.entrance_above_heel_cm, *_at(finding, "above_heel_cm")),
        entrance_left=_coordinate(path.entrance_from_midline_cm, *_at(finding, "from_midline_cm")),
        end_height=_coordinate(
            path.end_above_heel_cm,
            *(_at(other, "above_heel_cm") if other else _on_surface(finding, far, 2)),
        ),
        end_left=_coordinate(
            path.end_from_midline_cm,
            *(_at(other, "from_midline_cm") if other else _on_surface(finding, far, 0)),
        ),
        depth=None if path.depth_cm is None else float(path.depth_cm),
        depth_way=path.depth_way,
    )


def _coordinate(typed: Decimal | None, value: float | None, measured: bool) -> Coordinate:
    if typed is not None:
        return Coordinate(float(typed), "measured")
    if value is None:
        return Coordinate(None)
    return Coordinate(value, "measured" if measured else "derived")


def _at(finding: Finding, name: str) -> tuple[float | None, bool]:
    value = getattr(finding, name)
    return (None if value is None else float(value)), finding.position_source == "measured"


def _far_mark(finding: Finding) -> Mark | None:
    marks = [mark for mark in finding.marks.all() if not mark.is_voided]
    return next((mark for mark in marks if mark.end in FAR_ENDS), None)


def _on_surface(finding: Finding, mark: Mark | None, axis: int) -> tuple[float | None, bool]:
    length = finding.examination.crown_heel_cm
    if mark is None or not mark.surface_point or length is None:
        return None, False
    return round(float(mark.surface_point[axis]) * float(length) / 1000, 1), False


def path_rows(finding: Finding) -> list[PathRow]:
    """The active paths of a finding, each with its words and its direction."""
    length = finding.examination.crown_heel_cm
    rows = []
    for path in finding.paths.all():
        if path.is_voided:
            continue
        points = points_of(path, finding)
        direction = direction_of(points, crown_heel_cm=float(length) if length else None)
        number = path.exit_finding.number if path.exit_finding else None
        words = path_words(
            path.structures_in_order,
            path.ends_as,
            path.end_words,
            number,
            direction,
            from_taps=rests_on_taps(points),
        )
        said = direction_words(direction) if direction else ""
        rows.append(PathRow(path, words, points, direction, said, missing_for_direction(points)))
    return rows


def paths_words(finding: Finding) -> str:
    """The wound paths of a finding as the report says them; empty without one."""
    return " ".join(row.words for row in path_rows(finding))
