"""The findings in the order in which a body is looked over: part by part, head to foot.

What the drawing shows at a glance, to be read or heard. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from findings.body.regions import REGIONS
from findings.body.views import SCHEMATICS

# The groups of regions from head to foot, and a heading for each.
PARTS: Final[dict[str, str]] = {
    "head": "Head",
    "face": "Face",
    "neck": "Neck",
    "chest": "Chest",
    "abdomen": "Abdomen",
    "back": "Back",
    "pelvis": "Groin and pubic region",
    "genital": "External genitalia and perineum",
    "buttock": "Buttocks",
    "upper_arm": "Shoulders, upper arms and elbows",
    "forearm": "Forearms and wrists",
    "hand": "Hands",
    "thigh": "Hips and thighs",
    "leg": "Knees, lower legs and ankles",
    "foot": "Feet",
}
ON_SCHEMATIC: Final = "On schematic drawings"
NOT_ON_CHART: Final = "Not on the chart"


@dataclass(frozen=True, slots=True)
class Lies:
    """Where a finding lies: its number, the region of its first mark, the view, the height.

    `region` and `view` are empty without a mark; `above_heel` is in any one unit, None where it is
    not known.
    """

    number: int
    region: str
    view: str
    above_heel: float | None


def part_of(lies: Lies) -> str:
    """The heading under which a finding is read."""
    if lies.view in SCHEMATICS:
        return ON_SCHEMATIC
    known = REGIONS.get(lies.region)
    return PARTS[known.group] if known else NOT_ON_CHART


def head_to_foot(findings: Iterable[Lies]) -> list[tuple[str, list[int]]]:
    """The numbers of the findings under their headings; within each from above downward.

    What lies on no drawing comes last. Of two at one height the lower number comes first.
    """
    found: dict[str, list[Lies]] = {}
    for lies in findings:
        found.setdefault(part_of(lies), []).append(lies)
    order = [*PARTS.values(), ON_SCHEMATIC, NOT_ON_CHART]
    return [
        (heading, [one.number for one in sorted(found[heading], key=_downward)])
        for heading in order
        if heading in found
    ]


def _downward(lies: Lies) -> tuple[float, int]:
    return (float("inf") if lies.above_heel is None else -lies.above_heel, lies.number)
