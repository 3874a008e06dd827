"""Accessible SVG plots of the calculations, as text.

Each function returns one `<svg>` with `<title>` and `<desc>`, so that the plot can be read aloud.
Colors come from CSS classes (`plot-...`); the presentation attributes are only what a page
without that CSS needs. No style attribute, no script. `plot_id` must be unique in the page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape

from findings.calculations.organ_weights import placed
from findings.calculations.time_since_death import Window

WIDTH, HEIGHT = 640, 320
LEFT, RIGHT, TOP, BOTTOM = 56, 16, 20, 44
_STEPS = (1, 2, 5, 10)
_HOUR_STEPS = (0.25, 0.5, 1, 2, 3, 6, 12, 24, 48)
LINE = 'fill="none" stroke="currentColor" stroke-width="2"'
THIN = 'fill="none" stroke="currentColor" stroke-width="1"'
BAND = 'fill="currentColor" fill-opacity="0.15" stroke="none"'
TEXT = 'fill="currentColor" font-size="13"'


@dataclass(frozen=True)
class CurvePoint:
    """One point of a cooling curve; the band is None where none was published."""

    t_h: float
    rectal_c: float
    low_h: float | None
    high_h: float | None


@dataclass(frozen=True)
class OrganBar:
    """One weighed organ with its reference range, in grams."""

    label: str
    weight_g: float
    low_g: float
    high_g: float
    mean_g: float
    population: str


def _num(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def ticks(low: float, high: float, most: int = 8) -> list[float]:
    """Round numbers inside a range, at most about `most` of them."""
    span = max(high - low, 1e-9)
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * factor for factor in _STEPS if span / (power * factor) <= most)
    first = math.ceil(low / step - 1e-9)
    return [round(step * n, 10) for n in range(first, math.floor(high / step + 1e-9) + 1)]


def _scale(low: float, high: float, start: float, end: float) -> Callable[[float], float]:
    span = (high - low) or 1.0
    return lambda value: start + (value - low) / span * (end - start)


def _text(x: float, y: float, words: str, anchor: str = "middle", css: str = "plot-label") -> str:
    return (
        f'<text class="{css}" x="{_num(x)}" y="{_num(y)}" text-anchor="{anchor}" {TEXT}>'
        f"{escape(words)}</text>"
    )


def _line(x1: float, y1: float, x2: float, y2: float, css: str, look: str = THIN) -> str:
    return (
        f'<line class="{css}" x1="{_num(x1)}" y1="{_num(y1)}" x2="{_num(x2)}" y2="{_num(y2)}" '
        f"{look}/>"
    )


def _path(points: Sequence[tuple[float, float]], css: str, look: str, closed: bool = False) -> str:
    steps = " ".join(
        f"{'M' if number == 0 else 'L'}{_num(x)} {_num(y)}" for number, (x, y) in enumerate(points)
    )
    return f'<path class="{css}" d="{steps}{"Z" if closed else ""}" {look}/>'


def _frame(plot_id: str, title: str, description: str, height: float, parts: list[str]) -> str:
    name = escape(plot_id, quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plot" role="img" '
        f'viewBox="0 0 {WIDTH} {_num(height)}" aria-labelledby="{name}-title {name}-desc">'
        f'<title id="{name}-title">{escape(title)}</title>'
        f'<desc id="{name}-desc">{escape(description)}</desc>' + "".join(parts) + "</svg>"
    )


def cooling_curve_svg(
    curve: Sequence[CurvePoint],
    *,
    ambient_c: float,
    reading: tuple[float, float] | None = None,
    plot_id: str = "cooling-curve",
) -> str:
    """Expected rectal temperature over hours, with the band and the reading (hours, C) if any.

    The band is drawn as the span of hours for each temperature, since the method's tolerance is
    one of time.
    """
    last_h = curve[-1].t_h
    x = _scale(0, last_h, LEFT, WIDTH - RIGHT)
    low_c = min(ambient_c, *(point.rectal_c for point in curve))
    high_c = max(point.rectal_c for point in curve)
    # A degree of room below, so that the line of the ambient is not the axis.
    degrees = (math.floor(low_c) - 1, math.ceil(high_c))
    y = _scale(*degrees, HEIGHT - BOTTOM, TOP)
    parts = _axes(x, y, (0, last_h), degrees)
    banded = [point for point in curve if point.low_h is not None and point.high_h is not None]
    if len(banded) > 1:
        early = [(x(max(point.low_h or 0.0, 0.0)), y(point.rectal_c)) for point in banded]
        late = [(x(min(point.high_h or 0.0, last_h)), y(point.rectal_c)) for point in banded]
        parts.append(_path([*early, *reversed(late)], "plot-band", BAND, closed=True))
    parts.append(_path([(x(p.t_h), y(p.rectal_c)) for p in curve], "plot-line", LINE))
    parts.append(_line(LEFT, y(ambient_c), WIDTH - RIGHT, y(ambient_c), "plot-ambient"))
    parts.append(_text(WIDTH - RIGHT, y(ambient_c) - 4, f"ambient {ambient_c:g} °C", "end"))
    words = (
        f"From {curve[0].rectal_c:.1f} °C at death to {curve[-1].rectal_c:.1f} °C after "
        f"{last_h:g} hours, ambient {ambient_c:g} °C."
    )
    if reading:
        hours, rectal_c = reading
        parts.append(
            f'<circle class="plot-reading" cx="{_num(x(hours))}" cy="{_num(y(rectal_c))}" r="5" '
            'fill="currentColor"/>'
        )
        words += f" The reading of {rectal_c:.1f} °C lies at {hours:.1f} hours."
    if banded:
        words += " The shaded band is the 95 % tolerance, from memory of the published papers."
    return _frame(plot_id, "Expected cooling curve", words, HEIGHT, parts)


def cooling_range_svg(
    curves: Sequence[Sequence[CurvePoint]],
    *,
    ambients_c: tuple[float, float],
    rectal_c: float,
    span_h: tuple[float, float],
    plot_id: str = "cooling-range",
) -> str:
    """Expected cooling at the coolest and the warmest likely ambient temperature.

    The reading is a bar from the earliest to the latest hours that the whole range gives with its
    tolerance, since no single curve is known.
    """
    last_h = max(curve[-1].t_h for curve in curves)
    x = _scale(0, last_h, LEFT, WIDTH - RIGHT)
    low_c = min(*ambients_c, *(point.rectal_c for curve in curves for point in curve))
    high_c = max(point.rectal_c for curve in curves for point in curve)
    degrees = (math.floor(low_c) - 1, math.ceil(high_c))
    y = _scale(*degrees, HEIGHT - BOTTOM, TOP)
    parts = _axes(x, y, (0, last_h), degrees)
    cool, warm = ([(x(p.t_h), y(p.rectal_c)) for p in curve] for curve in curves)
    parts.append(_path([*cool, *reversed(warm)], "plot-band", BAND, closed=True))
    parts += [_path(points, "plot-line", LINE) for points in (cool, warm)]
    for ambient_c in ambients_c:
        parts.append(_line(LEFT, y(ambient_c), WIDTH - RIGHT, y(ambient_c), "plot-ambient"))
        parts.append(_text(WIDTH - RIGHT, y(ambient_c) - 4, f"ambient {ambient_c:g} °C", "end"))
    early, late, level = x(span_h[0]), x(span_h[1]), y(rectal_c)
    bar = 'stroke="currentColor" stroke-width="3"'
    parts.append(_line(early, level, late, level, "plot-reading", bar))
    parts += [_line(at, level - 6, at, level + 6, "plot-reading", bar) for at in (early, late)]
    words = (
        f"Expected cooling between an ambient temperature of {ambients_c[0]:g} °C and one of "
        f"{ambients_c[1]:g} °C over {last_h:g} hours. The bar is the reading of {rectal_c:.1f} °C: "
        f"{span_h[0]:.1f} to {span_h[1]:.1f} hours over the whole range with its tolerance."
    )
    return _frame(plot_id, "Expected cooling over a range of ambients", words, HEIGHT, parts)


def _axes(
    x: Callable[[float], float],
    y: Callable[[float], float],
    hours: tuple[float, float],
    degrees: tuple[float, float],
) -> list[str]:
    floor = HEIGHT - BOTTOM
    parts = [
        _line(LEFT, floor, WIDTH - RIGHT, floor, "plot-axis"),
        _line(LEFT, TOP, LEFT, floor, "plot-axis"),
        _text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6, "hours since death"),
        _text(LEFT, TOP - 6, "°C", "end"),
    ]
    for value in ticks(*hours):
        parts.append(_line(x(value), floor, x(value), floor + 5, "plot-tick"))
        parts.append(_text(x(value), floor + 19, f"{value:g}"))
    for value in ticks(*degrees):
        parts.append(_line(LEFT - 5, y(value), LEFT, y(value), "plot-tick"))
        parts.append(_text(LEFT - 8, y(value) + 4, f"{value:g}", "end"))
    return parts


def _said(moment: datetime | None) -> str:
    return moment.strftime("%Y-%m-%d %H:%M %z").strip() if moment else "open"


def _even_moments(first: datetime, last: datetime) -> list[datetime]:
    """Whole hours or days inside a span, about eight at most."""
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0)
    hours = (last - first).total_seconds() / 3600
    step = next((one for one in _HOUR_STEPS if hours / one <= 8), math.ceil(hours / 8 / 24) * 24)
    count = math.ceil((last - midnight).total_seconds() / 3600 / step)
    moments = (midnight + timedelta(hours=step * number) for number in range(count + 1))
    return [moment for moment in moments if first <= moment <= last]


def _moment_axis(
    x: Callable[[float], float], first: datetime, last: datetime, base: float
) -> list[str]:
    parts = [_line(LEFT, base, WIDTH - RIGHT, base, "plot-axis")]
    day = None
    for moment in _even_moments(first, last):
        mark = x(moment.timestamp())
        parts.append(_line(mark, base, mark, base + 5, "plot-tick"))
        parts.append(_text(mark, base + 19, f"{moment:%H:%M}"))
        if moment.date() != day:
            day = moment.date()
            parts.append(_text(mark, base + 35, f"{moment:%Y-%m-%d}"))
    return parts


def _span(windows: Sequence[Window]) -> tuple[datetime, datetime]:
    """From before the first known moment to after the last."""
    known = [m for window in windows for m in (window.earliest, window.latest) if m]
    start, end = min(known), max(known)
    margin = max((end - start) / 10, timedelta(minutes=30))
    return start - margin, end + margin


def time_line_svg(
    windows: Sequence[Window],
    *,
    common: tuple[datetime | None, datetime | None] | None,
    plot_id: str = "time-line",
) -> str:
    """The windows of each method above one another, and what is common to all; None when nothing.

    An open end runs to the edge of the plot and is named in the label.
    """
    first, last = _span(windows)
    row, top = 34, TOP
    lines = [(w.label, w.earliest, w.latest, "plot-window") for w in windows]
    if common:
        lines.append(("common to all", common[0], common[1], "plot-common"))
    height = top + row * len(lines) + 56
    x = _scale(first.timestamp(), last.timestamp(), LEFT, WIDTH - RIGHT)
    parts = _moment_axis(x, first, last, height - 44)
    said = []
    for number, (label, earliest, latest, css) in enumerate(lines):
        y = top + row * number
        x1, x2 = x((earliest or first).timestamp()), x((latest or last).timestamp())
        words = (
            label + ("" if earliest else " (earliest open)") + ("" if latest else " (latest open)")
        )
        parts.append(_text(LEFT, y + 8, words, "start"))
        parts.append(
            f'<rect class="{css}" x="{_num(x1)}" y="{_num(y + 13)}" '
            f'width="{_num(max(x2 - x1, 2))}" height="10" fill="currentColor" '
            f'fill-opacity="{"0.9" if css == "plot-common" else "0.35"}"/>'
        )
        said.append(f"{label}: {_said(earliest)} to {_said(latest)}.")
    if not common:
        said.append("There is no time common to all: the windows exclude each other.")
    return _frame(plot_id, "Time-since-death windows", " ".join(said), height, parts)


def organ_weights_svg(bars: Sequence[OrganBar], *, plot_id: str = "organ-weights") -> str:
    """Weighed organs against their reference ranges, each on its own scale.

    Each row runs from 0 to a third above the greater of range and weight, so that organs of very
    different weight can be compared with their own range.
    """
    row, top, label_width = 40, TOP + 4, 150
    height = top + row * len(bars) + 16
    parts, said = [], []
    for number, bar in enumerate(bars):
        y = top + row * number
        x = _scale(0, max(bar.high_g, bar.weight_g) * 4 / 3, LEFT + label_width, WIDTH - RIGHT)
        place = placed(bar.weight_g, (bar.low_g, bar.high_g))
        parts.append(_text(LEFT, y + 15, bar.label, "start"))
        parts.append(_text(LEFT, y + 31, f"range {bar.low_g:g} to {bar.high_g:g} g", "start"))
        parts.append(
            f'<rect class="plot-range" x="{_num(x(bar.low_g))}" y="{_num(y + 4)}" '
            f'width="{_num(x(bar.high_g) - x(bar.low_g))}" height="14" {BAND}/>'
        )
        parts.append(_line(x(bar.mean_g), y + 4, x(bar.mean_g), y + 18, "plot-mean"))
        weight_x = x(bar.weight_g)
        parts.append(
            f'<circle class="plot-weight plot-{place}" cx="{_num(weight_x)}" cy="{_num(y + 11)}" '
            'r="5" fill="currentColor"/>'
        )
        parts.append(_text(weight_x, y + 32, f"{bar.weight_g:g} g, {place}", "middle"))
        said.append(
            f"{bar.label}: {bar.weight_g:g} g, {place} the range {bar.low_g:g} to {bar.high_g:g} g "
            f"(mean {bar.mean_g:g} g, {bar.population})."
        )
    return _frame(plot_id, "Organ weights against reference", " ".join(said), height, parts)
