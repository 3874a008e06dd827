"""The plot of a result as inline SVG, where its method has one. No database."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from findings.calculations.fields import BadInput
from findings.calculations.plots import (
    CurvePoint,
    OrganBar,
    cooling_curve_svg,
    cooling_range_svg,
    organ_weights_svg,
    time_line_svg,
)
from findings.calculations.registry import calculate
from findings.calculations.time_since_death import Window
from findings.computing.labels import key_words

FIRST_YEAR, LAST_YEAR = 1800, 2200
LONGEST_CURVE_H = 500


@dataclass(frozen=True)
class Plot:
    """A plot and what it shows; its own title and description are inside the SVG."""

    svg: SafeString
    caption: str
    words: str


def plot_of(
    method: str,
    inputs: Mapping[str, Any],
    result: Mapping[str, Any],
    measured_at: datetime | None,
    zone: ZoneInfo,
) -> Plot | None:
    """The plot of a result, or None where there is nothing to draw."""
    if method == "time_since_death":
        return _windows(result.get("time_line") or [], result, zone)
    if result.get("reason"):
        return None
    if method == "pmi_rectal":
        return _cooling(inputs, result)
    if method == "cooling_forward":
        return _curve(result["curve"], float(inputs["ambient_C"]), None)
    if method == "vitreous_potassium":
        return _lines(result, measured_at, zone)
    if method == "organ_weights" and isinstance(result.get("mean_g"), float | int):
        return _organs([_bar(inputs, result)])
    return None


def _plot(svg: str, caption: str) -> Plot:
    described = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    words = mark_safe(described[1]) if described else ""  # noqa: S308 - escaped by plots
    return Plot(mark_safe(svg), caption, words)  # noqa: S308 - built and escaped by plots


def _cooling(inputs: Mapping[str, Any], result: Mapping[str, Any]) -> Plot | None:
    hours, ambient, high = result.get("t_h"), inputs.get("ambient_C"), result.get("high_h")
    ambients: list[Any] = ambient if isinstance(ambient, list) else [ambient, ambient]
    if None in ambients or high is None or high > LONGEST_CURVE_H / 1.2:
        return None
    length = max(12.0, float(high) * 1.2)
    curves = [_curve_points(inputs, float(one), length) for one in ambients]
    if not all(curves):
        return None
    if ambients[0] == ambients[1]:
        reading = None if hours is None else (float(hours), float(inputs["rectal_C"]))
        return _curve(curves[0], float(ambients[0]), reading) if reading else None
    svg = cooling_range_svg(
        [_as_curve(points) for points in curves],
        ambients_c=(float(ambients[0]), float(ambients[1])),
        rectal_c=float(inputs["rectal_C"]),
        span_h=(float(result["low_h"]), float(high)),
    )
    return _plot(
        svg,
        "Expected cooling at the coolest and the warmest ambient temperature; the bar is the "
        "reading with the 95 % tolerance.",
    )


def _curve_points(inputs: Mapping[str, Any], ambient_c: float, length_h: float) -> Any:
    """The points of the expected curve; none where the inputs allow none."""
    given = {name: inputs[name] for name in ("mass_kg", "corrective_factor") if name in inputs}
    asked = {"ambient_C": ambient_c, **given, "hours": length_h, "step_h": length_h / 60}
    try:
        return calculate("cooling_forward", asked).outcome.fields.get("curve") or []
    except BadInput:
        return []


def _as_curve(points: Any) -> list[CurvePoint]:
    return [
        CurvePoint(point["t_h"], point["rectal_C"], point["low_h"], point["high_h"])
        for point in points
    ]


def _curve(points: Any, ambient_c: float, reading: tuple[float, float] | None) -> Plot | None:
    if len(points) < 2:
        return None
    svg = cooling_curve_svg(_as_curve(points), ambient_c=ambient_c, reading=reading)
    which = "the dot is the reading, " if reading else ""
    return _plot(svg, f"Expected cooling; {which}the shaded band the 95 % tolerance.")


def _moment(value: object, zone: ZoneInfo) -> datetime | None:
    moment = datetime.fromisoformat(value) if isinstance(value, str) else None
    if moment is None:
        return None
    if not FIRST_YEAR < moment.year < LAST_YEAR:
        raise ValueError("too far to draw")
    return moment if moment.tzinfo is None else moment.astimezone(zone)


def _windows(rows: list[Any], result: Mapping[str, Any], zone: ZoneInfo) -> Plot | None:
    try:
        windows = [
            Window(str(row["label"]), _moment(row["earliest"], zone), _moment(row["latest"], zone))
            for row in rows
        ]
        earliest, latest = result.get("earliest"), result.get("latest")
        common = None
        if not result.get("reason"):
            common = (_moment(earliest, zone), _moment(latest, zone))
    except ValueError:
        return None
    if not windows:
        return None
    return _plot(
        time_line_svg(windows, common=common),
        "Each window by itself; an open end runs to the edge.",
    )


def _lines(
    result: Mapping[str, object], measured_at: datetime | None, zone: ZoneInfo
) -> Plot | None:
    rows = result.get("formulae")
    if not isinstance(rows, list) or measured_at is None:
        return None
    at = measured_at.astimezone(zone)
    windows = [
        Window(
            key_words(row["formula"]),
            at - timedelta(hours=row["high_h"]),
            at - timedelta(hours=row["low_h"]),
        )
        for row in rows
        if row.get("low_h") is not None
    ]
    if not windows:
        return None
    svg = time_line_svg(windows, common=None).replace(
        " There is no time common to all: the windows exclude each other.", ""
    )
    return _plot(svg, "The lines for which 95 % limits were published; not combined.")


def _bar(inputs: Mapping[str, Any], result: Mapping[str, Any]) -> OrganBar:
    bounds = result.get("reference95_g") or result.get("observed_g") or [0.0, 0.0]
    return OrganBar(
        label=key_words(str(inputs["organ"])),
        weight_g=float(inputs["weight_g"]),
        low_g=bounds[0],
        high_g=bounds[1],
        mean_g=result["mean_g"],
        population=str(result.get("population")),
    )


def organs_plot(sex: str, weights: Mapping[str, float]) -> Plot | None:
    """All weighed organs against their ranges, where there are ranges."""
    bars = []
    for organ, grams in weights.items():
        inputs: dict[str, Any] = {"sex": sex, "organ": organ, "weight_g": grams}
        try:
            result = calculate("organ_weights", inputs).as_plain()
        except BadInput:
            continue
        if not result.get("reason"):
            bars.append(_bar(inputs, result))
    return _organs(bars) if bars else None


def _organs(bars: list[OrganBar]) -> Plot:
    return _plot(
        organ_weights_svg(bars),
        "Each organ on its own scale: the bar goes from the smallest to the largest weight seen, "
        "or over the proposed 95 % range where one was published; the line in it is the mean.",
    )
