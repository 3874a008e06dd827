"""The body chart as a vector drawing: the body, its marks, and their numbers.

One function serves the page and the report. On the page the classes let the style sheet recolor
everything; in a report the same colors stand in the drawing itself.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from findings.body.catalogue import ASSETS, BodyGeometryError
from findings.body.labels import LabelSize, chart_box, label_size, page_unit, place_labels
from findings.body.marks import (
    CLASSES,
    PAPER,
    MarkClass,
    PagePoint,
    at,
    dash_array,
    far_end,
    hatch_pattern,
    num,
    smooth_outline,
    symbol,
)
from findings.body.midline import place_words
from findings.body.placed_mark import Mark, mark_in_view
from findings.body.regions import region_term
from findings.body.schematics import is_inside, part_at
from findings.body.views import SCHEMATICS, body_model, view_box, view_title

__all__ = ["Mark", "chart_svg", "drawing_markup", "mark_in_view"]

_DRAWING: Final = re.compile(r"<svg[^>]*>(.*)</svg>", re.DOTALL)
_FONT: Final = "'Source Sans 3', 'Source Sans 3 Variable', sans-serif"


def chart_svg(body: str, view_key: str, marks: Iterable[Mark], *, standalone: bool) -> str:
    """The chart of one view with every mark that can be seen in it.

    Marks made in another view appear where their surface is visible here. `standalone` gives a
    document with its own size and colors (for a report); otherwise an element for the page, which
    the page's style sheet may recolor by class. Raises BodyGeometryError for an unknown class,
    kind, body or view.
    """
    seen = [found for mark in marks if (found := mark_in_view(body, mark, view_key)) is not None]
    box = chart_box(body, view_key)
    unit = page_unit(body, view_key)
    size = label_size(body, view_key, [mark.label for mark in seen])
    anchors = [_anchor(mark) for mark in seen]
    spots = place_labels(body, view_key, anchors, size)
    page = f"{body}-{view_key}"
    patterns = "".join(
        hatch_pattern(CLASSES[key], f"hatch-{page}-{key}", unit)
        for key in CLASSES
        if any(m.klass == key and m.kind == "area" for m in seen)
    )
    # Large areas below and points on top, so that what lies within or upon them can still be seen.
    order = sorted(seen, key=lambda mark: (-_extent(mark), mark.kind != "line", mark.number))
    drawn = _joins(seen, unit) + "".join(_mark_group(body, mark, page, unit) for mark in order)
    labels = "".join(
        _label(mark, anchor, spot, size, unit)
        for mark, anchor, spot in zip(seen, anchors, spots, strict=True)
    )
    title = f"{view_title(view_key)}, {_count(len(seen))}"
    if view_key not in SCHEMATICS:
        title = f"{body_model(body).title}, {title[0].lower()}{title[1:]}"
    shape = f'viewBox="{" ".join(num(n) for n in box)}"'
    if standalone:
        shape += f' width="{num(box.width)}" height="{num(box.height)}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="body-chart" {shape} role="img" '
        f'aria-label={quoteattr(title)} data-body="{body}" data-view="{view_key}">'
        f"<title>{escape(title)}</title><defs>{patterns}</defs>"
        f'<g class="body-drawing" fill="none" stroke-linecap="round" stroke-linejoin="round">'
        f"{drawing_markup(body, view_key)}</g>"
        f'<g class="marks" fill="none" stroke-linecap="round" stroke-linejoin="round">{drawn}</g>'
        f'<g class="mark-labels" font-family="{_FONT}" font-weight="600">{labels}</g></svg>'
    )


@lru_cache(maxsize=16)
def drawing_markup(body: str, view_key: str) -> str:
    """The inside of a view's drawing: skin, tones, region areas, borders, outlines."""
    view_box(body, view_key)
    folder = "schematic" if view_key in SCHEMATICS else body
    text = (ASSETS / "drawings" / folder / f"{view_key}.svg").read_text(encoding="utf-8")
    found = _DRAWING.search(text)
    if found is None:
        raise BodyGeometryError(f"The drawing of {body}, {view_key} is not an SVG.")
    return found.group(1).strip()


def _anchor(mark: Mark) -> PagePoint:
    """Where the leader line meets the mark."""
    points = list(mark.points)
    if mark.kind == "line":
        return _middle_of_line(points)
    if mark.kind in ("area", "pattern") and len(points) >= 3:
        return _within(points)
    return points[0]


def _middle_of_line(points: list[PagePoint]) -> PagePoint:
    if len(points) == 1:
        return points[0]
    lengths = [math.dist(a, b) for a, b in pairwise(points)]
    left = sum(lengths) / 2
    for (a, b), length in zip(pairwise(points), lengths, strict=True):
        if left <= length and length > 0:
            share = left / length
            return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
        left -= length
    return points[0]


def _within(outline: list[PagePoint]) -> PagePoint:
    """The centroid, or where that lies outside, the middle of the widest level cut."""
    pairs = list(zip(outline, outline[1:] + outline[:1], strict=True))
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)
    if abs(twice) < 1e-9:
        return outline[0]
    u = sum((a[0] + b[0]) * (a[0] * b[1] - b[0] * a[1]) for a, b in pairs) / (3 * twice)
    v = sum((a[1] + b[1]) * (a[0] * b[1] - b[0] * a[1]) for a, b in pairs) / (3 * twice)
    cuts = sorted(
        a[0] + (v - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
        for a, b in pairs
        if (a[1] > v) != (b[1] > v)
    )
    spans = list(zip(cuts[::2], cuts[1::2], strict=False))
    if not spans or any(low <= u <= high for low, high in spans):
        return u, v
    low, high = max(spans, key=lambda span: span[1] - span[0])
    return (low + high) / 2, v


def _extent(mark: Mark) -> float:
    if mark.kind not in ("area", "pattern"):
        return 0.0
    us, vs = [p[0] for p in mark.points], [p[1] for p in mark.points]
    return (max(us) - min(us)) * (max(vs) - min(vs))


def _mark_group(body: str, mark: Mark, page: str, unit: float) -> str:
    look = CLASSES[mark.klass]
    where = _where(body, mark)
    draw = {
        "point": _point,
        "line": _line,
        "area": _area,
        "paired": _paired,
        "pattern": _pattern,
    }[mark.kind]
    state = " is-selected" if mark.selected else ""
    return (
        f'<g class="mark {look.css} kind-{mark.kind}{state}" '
        f'data-number="{mark.number}"><title>{mark.label}, {escape(look.title + where)}</title>'
        f"{draw(mark, look, page, unit)}</g>"
    )


def _where(body: str, mark: Mark) -> str:
    """The place of a mark as the end of a phrase: its region, or the part of a schematic."""
    if mark.view in SCHEMATICS:
        part = part_at(mark.view, *_anchor(mark))
        return f", {part.term}" if part else ""
    if not mark.region:
        return ""
    if mark.point3 is None:
        return f", {region_term(mark.region)}"
    return f", {place_words(body, mark.region, mark.point3)}"


def _point(mark: Mark, look: MarkClass, page: str, unit: float) -> str:
    return "".join(symbol(look, point, 5 * unit) for point in mark.points)


def _line(mark: Mark, look: MarkClass, page: str, unit: float) -> str:
    points = list(mark.points)
    if len(points) < 2:
        return _point(mark, look, page, unit)
    path = "M" + "L".join(at(point) for point in points)
    ticks = _tick(points[0], points[1], 4.5 * unit) + _tick(points[-1], points[-2], 4.5 * unit)
    plain = f'class="mark-line" stroke="{look.hue}"'
    return (
        f'<path class="mark-halo" stroke="{PAPER}" stroke-width="{num(6 * unit)}" d="{path}"/>'
        f'<path {plain} stroke-width="{num(3 * unit)}"{dash_array(look, unit)} d="{path}"/>'
        f'<path {plain} stroke-width="{num(1.6 * unit)}" d="{ticks}"/>'
    )


def _tick(end: PagePoint, toward: PagePoint, reach: float) -> str:
    length = math.dist(end, toward) or 1.0
    across = ((toward[1] - end[1]) / length * reach, (end[0] - toward[0]) / length * reach)
    return (
        f"M{at((end[0] - across[0], end[1] - across[1]))}"
        f"L{at((end[0] + across[0], end[1] + across[1]))}"
    )


def _area(mark: Mark, look: MarkClass, page: str, unit: float) -> str:
    if len(mark.points) < 3:
        return _point(mark, look, page, unit)
    path = _outline(mark)
    # A chord across a hollow of the body would leave its outline.
    clip = f' clip-path="url(#within-{page})"' if mark.partly_hidden else ""
    return (
        f'<g{clip}><path class="mark-tint" fill="{look.hue}" fill-opacity="0.14" d="{path}"/>'
        f'<path class="mark-hatch" fill="url(#hatch-{page}-{look.key})" d="{path}"/>'
        f'<path class="mark-line" stroke="{look.hue}" stroke-width="{num(1.8 * unit)}" d="{path}"/>'
        "</g>"
    )


def _outline(mark: Mark) -> str:
    """Smooth as it was drawn, but straight where it was carried over and may be partly hidden."""
    if mark.partly_hidden:
        return "M" + "L".join(at(point) for point in mark.points) + "Z"
    return smooth_outline(mark.points)


def _paired(mark: Mark, look: MarkClass, page: str, unit: float) -> str:
    radius = 5 * unit
    if mark.letter == "b":
        return "".join(far_end(look, point, radius) for point in mark.points)
    first, *rest = mark.points
    joined = ""
    for end in rest:
        joined += _join(look, first, end, unit)
    return joined + symbol(look, first, radius) + "".join(far_end(look, p, radius) for p in rest)


def _joins(seen: Sequence[Mark], unit: float) -> str:
    """The lines between the two ends of a pair that are marks of their own and both seen here."""
    starts = {mark.number: mark for mark in seen if mark.letter == "a"}
    return "".join(
        _join(CLASSES[mark.klass], starts[mark.number].points[0], mark.points[0], unit)
        for mark in seen
        if mark.letter == "b" and mark.number in starts
    )


def _join(look: MarkClass, start: PagePoint, end: PagePoint, unit: float) -> str:
    return (
        f'<path class="mark-line mark-join {look.css}" stroke="{look.hue}" '
        f'stroke-width="{num(1.4 * unit)}" '
        f'stroke-dasharray="{num(2 * unit)} {num(3.5 * unit)}" d="M{at(start)}L{at(end)}"/>'
    )


def _pattern(mark: Mark, look: MarkClass, page: str, unit: float) -> str:
    if len(mark.points) < 3:
        return "".join(symbol(look, point, 3.2 * unit) for point in mark.points)
    path = _outline(mark)
    return (
        f'<path class="mark-tint" fill="{look.hue}" fill-opacity="0.07" d="{path}"/>'
        + "".join(symbol(look, spot, 2.6 * unit) for spot in _scattered(mark.points, 13 * unit))
        + f'<path class="mark-line" stroke="{look.hue}" stroke-width="{num(1.5 * unit)}" '
        f'stroke-dasharray="{num(4 * unit)} {num(4 * unit)}" d="{path}"/>'
    )


def _scattered(outline: Sequence[PagePoint], step: float) -> list[PagePoint]:
    """Spots of a staggered grid inside the outline; they stand for the marks, not their number."""
    us, vs = [p[0] for p in outline], [p[1] for p in outline]
    step = max(step, math.sqrt((max(us) - min(us)) * (max(vs) - min(vs)) / 150))
    spots = []
    for row in range(int((max(vs) - min(vs)) / step) + 1):
        v = min(vs) + step * (row + 0.5)
        for column in range(int((max(us) - min(us)) / step) + 2):
            u = min(us) + step * (column + (0.25 if row % 2 else 0.75))
            if is_inside(outline, (u, v)):
                spots.append((u, v))
    return spots or [_within(list(outline))]


def _label(mark: Mark, anchor: PagePoint, spot: PagePoint, size: LabelSize, unit: float) -> str:
    look = CLASSES[mark.klass]
    left, top = spot[0] - size.width / 2, spot[1] - size.height / 2
    stroke = size.height * 0.06
    fill, ink = (look.hue, PAPER) if mark.selected else (PAPER, look.hue)
    state = " is-selected" if mark.selected else ""
    leader = ""
    start = _edge_of_label(spot, anchor, size.width, size.height)
    if start is not None:
        leader = (
            f'<path class="leader" stroke="{look.hue}" stroke-width="{num(stroke * 0.8)}" '
            f'd="M{at(start)}L{at(anchor)}"/>'
        )
        if mark.kind in ("area", "pattern"):
            leader += (
                f'<circle class="symbol" fill="{look.hue}" cx="{num(anchor[0])}" '
                f'cy="{num(anchor[1])}" r="{num(2.2 * unit)}"/>'
            )
    return (
        f'<g class="mark-label {look.css}{state}" '
        f'data-number="{mark.number}">{leader}'
        f'<rect class="label-box" fill="{fill}" stroke="{look.hue}" stroke-width="{num(stroke)}" '
        f'x="{num(left)}" y="{num(top)}" width="{num(size.width)}" height="{num(size.height)}" '
        f'rx="{num(size.height * 0.14)}"/>'
        f'<text class="label-number" fill="{ink}" text-anchor="middle" x="{num(spot[0])}" '
        f'y="{num(spot[1] + size.height * 0.225)}" font-size="{num(size.height * 0.66)}">'
        f"{mark.label}</text></g>"
    )


def _edge_of_label(
    spot: PagePoint, anchor: PagePoint, width: float, height: float
) -> PagePoint | None:
    """Where a line from the label's middle to the mark leaves the label; None inside it."""
    du, dv = anchor[0] - spot[0], anchor[1] - spot[1]
    share = max(abs(du) / (width / 2), abs(dv) / (height / 2))
    if share <= 1:
        return None
    return spot[0] + du / share, spot[1] + dv / share


def _count(marks: int) -> str:
    return "1 mark" if marks == 1 else f"{marks} marks"
