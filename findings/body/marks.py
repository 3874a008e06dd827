"""How marks look: each class has a hue, a hatch, a point shape and a line pattern of its own.

Red-brown and olive come close to one another for people who see no green, so color never carries
the class alone. All sizes are in the view's units, scaled by `scale` (1 for the whole body).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

PagePoint = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MarkClass:
    """The look of one class of finding: words, hue, hatch lines and dashes (in units of scale)."""

    key: str
    title: str
    hue: str
    hatch: str
    dash: str

    @property
    def css(self) -> str:
        """The style sheet's class for it: `mark-postmortem-change`."""
        return f"mark-{self.key.replace('_', '-')}"


# Each hatch is drawn in a square tile of 8 units.
_HATCHES: Final = MappingProxyType(
    {
        "rising": '<path d="M-2 2L2-2M0 8L8 0M6 10L10 6"/>',
        "dots": '<circle cx="2" cy="2" r="1"/><circle cx="6" cy="6" r="1"/>',
        "level": '<path d="M0 2H8M0 6H8"/>',
        "grid": '<path d="M0 4H8M4 0V8"/>',
        "falling": '<path d="M-2 6L2 10M0 0L8 8M6-2L10 2"/>',
        "plus": '<path d="M.5 2H3.5M2 .5V3.5M4.5 6H7.5M6 4.5V7.5"/>',
        "upright": '<path d="M2 0V8M6 0V8"/>',
    }
)
_TILE: Final = 8

CLASSES: Final = MappingProxyType(
    {
        look.key: look
        for look in (
            MarkClass("injury", "Injury", "#a8401f", "rising", ""),
            MarkClass("postmortem_change", "Postmortem change", "#5a4a97", "dots", "1 4"),
            MarkClass("artifact", "Artifact", "#7d6a1c", "level", "8 4"),
            MarkClass("natural_disease", "Natural disease", "#4f6a2c", "falling", "4 4"),
            MarkClass("medical_intervention", "Medical intervention", "#1f6f7a", "grid", "9 4 1 4"),
            MarkClass("identifying_feature", "Identifying feature", "#8c1d5a", "plus", "9 4 3 4"),
            MarkClass("other", "Other", "#45413c", "upright", "9 4 1 4 1 4"),
        )
    }
)
"""The classes of finding by key, in the order of a legend."""

KINDS: Final = ("point", "line", "area", "paired", "pattern")

PAPER: Final = "#fbf9f5"


def num(value: float) -> str:
    """A coordinate as short as it can be, to a hundredth."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def at(point: PagePoint) -> str:
    """A page point in path notation."""
    return f"{num(point[0])} {num(point[1])}"


def hatch_pattern(look: MarkClass, pattern_id: str, scale: float) -> str:
    """The class's hatch as an SVG pattern of that id."""
    side = num(_TILE * scale)
    inner = _HATCHES[look.hatch]
    if look.hatch == "dots":
        paint = f'class="hatch-fill" fill="{look.hue}"'
    else:
        paint = f'class="hatch-stroke" stroke="{look.hue}" fill="none" stroke-width="0.9"'
    return (
        f'<pattern id="{pattern_id}" class="{look.css}" patternUnits="userSpaceOnUse" '
        f'width="{side}" height="{side}" viewBox="0 0 {_TILE} {_TILE}"><g {paint}>{inner}</g>'
        "</pattern>"
    )


def symbol(look: MarkClass, point: PagePoint, radius: float) -> str:
    """The class's point shape, centered on a page point."""
    u, v = point
    stroke = f'stroke="{look.hue}" stroke-width="{num(radius * 0.3)}"'
    filled = (
        f'class="symbol" fill="{look.hue}" stroke="{PAPER}" stroke-width="{num(radius * 0.25)}"'
    )
    hollow = f'class="symbol-hollow" fill="{PAPER}" {stroke}'
    disc = f'cx="{num(u)}" cy="{num(v)}"'
    match look.key:
        case "injury":
            return (
                f'<circle {hollow} {disc} r="{num(radius)}"/>'
                f'<circle class="symbol" fill="{look.hue}" {disc} r="{num(radius * 0.5)}"/>'
            )
        case "postmortem_change":
            return f'<path {filled} d="{_regular(point, radius * 1.2, 4, 45)}"/>'
        case "artifact":
            return f'<path {filled} d="{_regular(point, radius * 1.3, 3, -90)}"/>'
        case "natural_disease":
            return f'<path {filled} d="{_regular(point, radius * 1.3, 4, 0)}"/>'
        case "medical_intervention":
            arm = radius * 0.55
            cross = f"M{at((u - arm, v))}H{num(u + arm)}M{at((u, v - arm))}V{num(v + arm)}"
            ring = f'<circle {hollow} {disc} r="{num(radius)}"/>'
            return f'{ring}<path class="symbol-stroke" {stroke} d="{cross}"/>'
        case "identifying_feature":
            return f'<path {filled} d="{_star(point, radius * 1.35)}"/>'
        case _:
            return f'<circle {hollow} {disc} r="{num(radius * 0.9)}"/>'


def far_end(look: MarkClass, point: PagePoint, radius: float) -> str:
    """The far end of a paired mark (exit, or where the object was recovered): a hollow square."""
    return (
        f'<path class="symbol-hollow" fill="{PAPER}" stroke="{look.hue}" '
        f'stroke-width="{num(radius * 0.3)}" d="{_regular(point, radius * 1.15, 4, 45)}"/>'
    )


def dash_array(look: MarkClass, scale: float) -> str:
    """The class's line pattern as an attribute, empty for a plain line."""
    if not look.dash:
        return ""
    return f' stroke-dasharray="{" ".join(num(float(n) * scale) for n in look.dash.split())}"'


def smooth_outline(points: Sequence[PagePoint]) -> str:
    """A closed curve through the points (Catmull-Rom), or a polygon where they are few."""
    count = len(points)
    if count < 3:
        return "M" + "L".join(at(p) for p in points)
    parts = [f"M{at(points[0])}"]
    for i in range(count):
        p0, p1, p2, p3 = (points[(i + k) % count] for k in (-1, 0, 1, 2))
        first = (p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6)
        second = (p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6)
        parts.append(f"C{at(first)} {at(second)} {at(p2)}")
    return "".join(parts) + "Z"


def _regular(point: PagePoint, radius: float, corners: int, first_deg: float) -> str:
    turns = (math.radians(first_deg + 360 / corners * k) for k in range(corners))
    spots = ((point[0] + radius * math.cos(t), point[1] + radius * math.sin(t)) for t in turns)
    return "M" + "L".join(at(spot) for spot in spots) + "Z"


def _star(point: PagePoint, radius: float) -> str:
    spots = []
    for k in range(10):
        reach = radius if k % 2 == 0 else radius * 0.5
        turn = math.radians(-90 + 36 * k)
        spots.append((point[0] + reach * math.cos(turn), point[1] + reach * math.sin(turn)))
    return "M" + "L".join(at(spot) for spot in spots) + "Z"
