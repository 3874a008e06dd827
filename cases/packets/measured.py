"""What was measured on photographs, as values, as rows and as the report prints it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from evidence.measuring.models import Measurement
from evidence.measuring.rules import IN_PLANE, condition_words, quantity_words, scale_words
from findings.calculations.photo_measurement import UNCERTAINTY

COLUMNS = [
    "photograph", "measurement", "finding", "kind", "quantity", "value", "unit", "low", "high",
    "standard uncertainty", "interval", "covered by the interval", "left out of the interval",
    "plane", "scale", "scale source", "residual", "warnings", "method", "note",
]  # fmt: skip
MEANING = "What a size means is for the pathologist to say."


def caution(measurements: Sequence[Measurement]) -> str:
    """What the sizes' intervals are, what they cover and what they leave out, said once."""
    parts = [f"Every size holds {IN_PLANE} only."]
    plane = [one for one in measurements if not one.straight]
    straight = [one for one in measurements if one.straight and not one.is_withheld]
    if plane:
        parts.append(
            f"Intervals: {UNCERTAINTY}; they cover {'; '.join(plane[0].covered)}, and leave out "
            f"{'; '.join(plane[0].left_out)}."
        )
    if straight:
        parts.append(
            "A straight scale cannot show how the camera was tilted: the sizes in parentheses are "
            "limits, not 95 % intervals, for every tilt up to the one that is named. They cover "
            f"{'; '.join(covered_in_any(straight))}, and leave out "
            f"{'; '.join(straight[0].left_out)}."
        )
    return " ".join([*parts, MEANING])


def covered_in_any(measurements: Sequence[Measurement]) -> list[str]:
    """What the limits cover, each line once, as the measurements state it."""
    return list(dict.fromkeys(line for one in measurements for line in one.covered))


def measurement_values(measurements: Sequence[Measurement]) -> list[dict[str, Any]]:
    """Return every measurement with all that its method was given and answered."""
    return [
        {
            "photograph": one.photograph.number,
            "measurement": one.number,
            "finding": one.finding.number if one.finding else None,
            "used_for": _used_for(one),
            "kind": one.kind,
            "words": one.words,
            "scale": scale_words(one.inputs),
            "points": one.points,
            "inputs": one.inputs,
            "result": one.shown,
            "interval_covers": list(one.covered),
            "interval_leaves_out": list(one.left_out),
            "method": f"{one.method} {one.method_version}",
            "note": one.note,
        }
        for one in measurements
    ]


def _used_for(one: Measurement) -> list[dict[str, Any]]:
    return [{"finding": use.finding.number, "dimension": use.dimension} for use in one.active_uses]


def measurement_rows(measurements: Iterable[Measurement]) -> Iterator[list[str]]:
    """Yield the measurements as rows, each quantity one line."""
    yield [column.capitalize() for column in COLUMNS]
    for one in measurements:
        shown = one.shown
        for quantity in shown["quantities"]:
            yield [
                str(one.photograph.number),
                str(one.number),
                str(one.finding.number) if one.finding else "",
                one.kind,
                quantity["name"],
                f"{quantity['value']:.3f}",
                quantity["unit"],
                *(_number(quantity[name]) for name in ("low", "high", "u")),
                shown.get("interval", UNCERTAINTY),
                "; ".join(one.covered),
                "; ".join(one.left_out),
                shown.get("plane", IN_PLANE),
                scale_words(one.inputs),
                one.inputs["scale_source"],
                one.residual,
                "; ".join(shown["warnings"]),
                f"{one.method} {one.method_version}",
                one.note,
            ]


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.3f}"


def printed_measurements(measurements: Iterable[Measurement]) -> list[dict[str, Any]]:
    """Return what the report's table of measurements prints."""
    rows = []
    for one in measurements:
        uses = [f"{use['dimension']} of [{use['finding']}]" for use in _used_for(one)]
        sizes = [
            f"{quantity['name']} {quantity_words(quantity)}" for quantity in one.shown["quantities"]
        ]
        rows.append(
            {
                "photograph": one.photograph.number,
                "number": one.number,
                "findings": sorted(
                    {
                        *([one.finding.number] if one.finding else []),
                        *(use["finding"] for use in _used_for(one)),
                    }
                ),
                "sizes": f"{'; '.join(sizes)}, {condition_words(one.shown)}",
                "about": ". ".join(
                    part
                    for part in (
                        f"Gives the {' and the '.join(uses)}" if uses else "",
                        one.note.rstrip("."),
                        *(warning[:1].upper() + warning[1:] for warning in one.shown["warnings"]),
                    )
                    if part
                ),
                "scale": f"{scale_words(one.inputs)}; residual {one.residual}",
                "method": f"{one.method.replace('_', ' ')} {one.method_version}",
            }
        )
    return rows
