"""Time since death in words. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from findings.computing.labels import key_words
from findings.computing.wording.summaries import (
    Answered,
    Summary,
    Table,
    clock_sentence,
    hours,
    hours_span,
    iso_words,
    number,
    plain,
    span_words,
)


def rectal(answered: Answered) -> Summary:
    """Hours before the rectal reading, or only a minimum."""
    result, measured_at, zone = answered.result, answered.measured_at, answered.zone
    if result.get("reason"):
        least = number(result.get("minimum_h_at_Q_0_2")) or number(result.get("minimum_h"))
        minimum = f"At least {least:.1f} hours by this formula; no upper limit." if least else ""
        return Summary(minimum=minimum)
    low, high = result.get("low_h"), result.get("high_h")
    if number(result.get("rectal_C")) is not None:
        return Summary(headline=f"{plain(result['rectal_C'])} °C expected")
    span = result.get("t_range_h")
    lines = [("Half width of the band", f"± {hours(result.get('band95_h'))}")]
    if isinstance(span, list):
        middle = f"{plain(span[0])} to {plain(span[1])} h over the ambient range"
    else:
        middle = hours(result.get("t_h"))
        lines.append(("Share of the difference left (Q)", plain(result.get("Q"), 2)))
    return Summary(
        headline=f"Between {low:.1f} and {high:.1f} hours before the reading",
        interval="95 % band of the method.",
        clock=clock_sentence(measured_at, low, high, zone),
        lines=(("By the formula itself", middle), *lines),
    )


def vitreous(answered: Answered) -> Summary:
    """Hours by one line, or each line in a table: never an average."""
    result, measured_at, zone = answered.result, answered.measured_at, answered.zone
    if result.get("reason"):
        return Summary()
    rows = result.get("formulae")
    if isinstance(rows, list):
        return Summary(
            headline="Each published line by itself; they are not averaged",
            tables=(_formulae(rows, measured_at, zone),),
        )
    low, high = result.get("low_h"), result.get("high_h")
    middle = plain(result.get("t_h"))
    lines = [
        ("Formula", key_words(str(result.get("formula")))),
        ("Its coefficients", str(result.get("provenance"))),
    ]
    if number(low) is None:
        return Summary(
            headline=f"{middle} hours before the vitreous was drawn, by the formula alone",
            interval="No published 95 % limits were found, so no interval is shown.",
            lines=tuple(lines),
        )
    return Summary(
        headline=f"Between {low:.1f} and {high:.1f} hours before the vitreous was drawn",
        interval="95 % limits.",
        clock=clock_sentence(measured_at, low, high, zone),
        lines=(("By the formula itself", f"{middle} h"), *lines),
    )


def _formulae(rows: list[Any], measured_at: datetime | None, zone: ZoneInfo) -> Table:
    shown = []
    for row in rows:
        low, high = row.get("low_h"), row.get("high_h")
        estimate = row.get("estimate")
        limits = hours_span(low, high) if number(low) is not None else "none published"
        clock = clock_sentence(measured_at, low, high, zone)
        shown.append(
            (
                key_words(str(row.get("formula"))),
                hours(estimate) if estimate is not None else "no estimate",
                limits if estimate is not None else str(row.get("report") or ""),
                clock.removeprefix("That is between ").rstrip("."),
                str(row.get("provenance")),
            )
        )
    columns = ("Line", "Hours", "95 % limits", "Clock time", "Coefficients")
    if not any(row[3] for row in shown):
        return Table("", (*columns[:3], columns[4]), tuple((*row[:3], row[4]) for row in shown))
    return Table("", columns, tuple(shown))


def curve(answered: Answered) -> Summary:
    """The expected fall of the temperature."""
    result = answered.result
    points = result.get("curve")
    if result.get("reason") or not isinstance(points, list) or not points:
        return Summary()
    last = points[-1]
    # Every so many points, so that the table stays one of a dozen rows.
    every = max(1, round(len(points) / 12))
    rows = tuple(
        (
            hours(point["t_h"]),
            f"{point['rectal_C']:.1f} °C",
            hours_span(point["low_h"], point["high_h"])
            if point["low_h"] is not None
            else "no band published",
        )
        for point in points[::every]
    )
    return Summary(
        headline=f"From 37.2 °C at death to {plain(last['rectal_C'])} °C after "
        f"{plain(last['t_h'])} hours",
        tables=(
            Table(
                "The curve",
                ("After death", "Expected", "Read back: 95 % band"),
                rows,
            ),
        ),
    )


def summary(answered: Answered) -> Summary:
    """What fits every window, or which windows exclude each other."""
    result, zone = answered.result, answered.zone
    windows = Table(
        "Windows",
        ("Window", "Earliest", "Latest"),
        tuple(
            (
                str(window.get("label")),
                iso_words(window.get("earliest"), zone),
                iso_words(window.get("latest"), zone),
            )
            for window in result.get("time_line") or []
        ),
    )
    if result.get("reason"):
        return Summary(tables=(windows,))
    start = iso_words(result.get("earliest"), zone, "")
    end = iso_words(result.get("latest"), zone, "")
    if start and end:
        headline = _span(result, zone) or f"Between {start} and {end}"
    elif start or end:
        headline = f"Not before {start}" if start else f"Not after {end}"
    else:
        headline = "No bound is known"
    return Summary(
        headline=headline,
        interval="Common to all windows; not an average, and no longer a 95 % interval.",
        tables=(windows,),
    )


def _span(result: Mapping[str, object], zone: ZoneInfo) -> str:
    start = datetime.fromisoformat(str(result["earliest"]))
    end = datetime.fromisoformat(str(result["latest"]))
    if start.tzinfo is None:
        return ""
    words = span_words(start, end, zone)
    return words[:1].upper() + words[1:]


def lividity(answered: Answered) -> Summary:
    """Whether lividity fits the position."""
    result = answered.result
    if "hours" in result:
        rows = tuple(
            (str(stage).capitalize(), f"{plain(span[0], 2)} to {plain(span[1], 2)} h")
            for stage, span in dict(result["hours"]).items()
        )
        return Summary(
            headline="Published hours after death",
            tables=(Table("", ("Stage", "After death"), rows),),
        )
    if "regions" in result:
        return Summary(headline=", ".join(result["regions"]))
    statement = str(result.get("statement"))
    return Summary(
        headline=statement[:1].upper() + statement[1:],
        lines=(
            ("Lividity expected at", ", ".join(result.get("expected_dependent") or [])),
            ("Pale from contact expected at", ", ".join(result.get("expected_pale") or [])),
        ),
    )
