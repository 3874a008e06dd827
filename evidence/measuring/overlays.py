"""A photograph's outlines and measured lines as a drawing of its own, to lay over the picture.

The drawing has the upright original's size in points, so that it fits the original, its smaller
copies and a redacted copy alike. It changes no picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from evidence.measuring.models import Measurement
from evidence.measuring.rules import tilt_words
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.photographs.outlines import look_of, upright_size
from findings.body.marks import hatch_pattern, num, symbol

INK = "#24201b"
PAPER = "#fbf9f5"
FACE = "'Source Sans 3', 'Source Sans 3 Variable', sans-serif"


def overlay_svg(
    photograph: Photograph,
    links: Iterable[PhotographFinding],
    measurements: Iterable[Measurement] = (),
) -> str:
    """Return an SVG document, empty when nothing is outlined and nothing was measured."""
    drawn = [link for link in links if link.outline]
    lines = list(measurements)
    if not drawn and not lines:
        return ""
    width, height = upright_size(photograph)
    unit = max(width, height) / 900
    looks = {look.key: look for look in map(look_of, drawn)}
    patterns = "".join(hatch_pattern(look, f"over-{look.key}", unit) for look in looks.values())
    inside = "".join(_outline(link, width, height, unit) for link in drawn)
    inside += "".join(_measured(one, unit, width, height) for one in lines)
    words = overlay_words(drawn, lines)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" aria-label={quoteattr(words)}>'
        f"<title>{escape(words)}</title><defs>{patterns}</defs>"
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{inside}</g></svg>'
    )


def overlay_words(links: Iterable[PhotographFinding], measurements: Iterable[Measurement]) -> str:
    """Say what is drawn: Outlined: finding 1 contusion. Measured: M1 3.00 cm (2.94 to 3.06)."""
    outlined = [
        f"finding {link.finding.number} {link.finding.term.lower()}"
        for link in links
        if link.outline
    ]
    measured = [
        f"M{one.number} {' at '.join(filter(None, (one.short_words, tilt_words(one.shown))))}"
        for one in measurements
    ]
    parts = [f"Outlined: {', '.join(outlined)}." if outlined else ""]
    parts.append(f"Measured: {', '.join(measured)}, in the plane of the scale." if measured else "")
    return " ".join(part for part in parts if part)


def _outline(link: PhotographFinding, width: int, height: int, unit: float) -> str:
    look, points = look_of(link), link.outline or []
    spots = [(x * width, y * height) for x, y in points]
    pin = min(spots, key=lambda spot: (spot[1], spot[0]))
    if len(spots) > 2:
        path = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in spots) + "Z"
        drawn = (
            f'<path fill="url(#over-{look.key})" fill-opacity="0.5" d="{path}"/>'
            f'<path stroke="{PAPER}" stroke-width="{num(4.5 * unit)}" d="{path}"/>'
            f'<path stroke="{look.hue}" stroke-width="{num(2.2 * unit)}" d="{path}"/>'
        )
    else:
        drawn = symbol(look, pin, 7 * unit)
    return drawn + _badge(str(link.finding.number), pin, look.hue, unit, width, height)


def _badge(
    text: str, at: tuple[float, float], hue: str, unit: float, width: int, height: int
) -> str:
    """A number on paper, above its place and always within the picture."""
    wide, tall = (14 + 10 * len(text)) * unit, 25 * unit
    x = min(max(at[0], wide / 2 + 2 * unit), width - wide / 2 - 2 * unit)
    y = min(max(at[1] - 22 * unit, tall / 2 + 2 * unit), height - tall / 2 - 2 * unit)
    return (
        f'<rect x="{num(x - wide / 2)}" y="{num(y - tall / 2)}" width="{num(wide)}" '
        f'height="{num(tall)}" rx="{num(3 * unit)}" fill="{PAPER}" stroke="{hue}" '
        f'stroke-width="{num(1.6 * unit)}"/>'
        f'<text x="{num(x)}" y="{num(y + 6.5 * unit)}" font-size="{num(19 * unit)}" '
        f'font-family="{FACE}" font-weight="600" text-anchor="middle" fill="{INK}">'
        f"{escape(text)}</text>"
    )


def _measured(one: Measurement, unit: float, width: int, height: int) -> str:
    points = [(float(x), float(y)) for x, y in one.points]
    closed = "Z" if one.kind == "area" else ""
    path = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points) + closed
    ends = "".join(
        f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(3.4 * unit)}" fill="{PAPER}" '
        f'stroke="{INK}" stroke-width="{num(1.4 * unit)}"/>'
        for x, y in points
    )
    middle = (
        sum(x for x, _ in points) / len(points),
        min(y for _, y in points),
    )
    return (
        f'<path stroke="{INK}" stroke-width="{num(4 * unit)}" d="{path}"/>'
        f'<path stroke="{PAPER}" stroke-width="{num(2 * unit)}" '
        f'stroke-dasharray="{num(7 * unit)} {num(6 * unit)}" d="{path}"/>'
        + ends
        + _badge(f"M{one.number}", middle, INK, unit, width, height)
    )
