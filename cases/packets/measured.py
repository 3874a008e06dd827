"""What was measured on photographs, as values, as rows and as the report prints it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from evidence.measuring.models import Measurement
from evidence.measuring.rules import IN_PLANE, quantity_words, scale_words
from findings.calculations.photo_measurement import UNCERTAINTY

COLUMNS = [
    "photograph", "measurement", "finding", "kind", "quantity", "value", "unit", "low", "high",
    "standard uncertainty", "interval", "plane", "scale", "scale source", "residual", "warnings",
    "method", "note",
]  # fmt: skip
CAUTION = (
    f"Every size holds {IN_PLANE} only: curved skin, a scale that lies higher or lower, and the "
    "lens change it. What a size means is for the pathologist to say."
)


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
            "result": one.result,
            "method": f"{one.method} {one.method_version}",
            "note": one.note,
        }
        for one in measurements
    ]


def _used_for(one: Measurement) -> list[dict[str, Any]]:
    return [
        {"finding": use.finding.number, "dimension": use.dimension}
        for use in one.standing_uses  # type: ignore[attr-defined]
    ]


def measurement_rows(measurements: Iterable[Measurement]) -> Iterator[list[str]]:
    """Yield the measurements as rows, each quantity one line."""
    yield [column.capitalize() for column in COLUMNS]
    for one in measurements:
        for quantity in one.result["quantities"]:
            yield [
                str(one.photograph.number),
                str(one.number),
                str(one.finding.number) if one.finding else "",
                one.kind,
                quantity["name"],
                f"{quantity['value']:.3f}",
                quantity["unit"],
                f"{quantity['low']:.3f}",
                f"{quantity['high']:.3f}",
                f"{quantity['u']:.3f}",
                one.result.get("interval", UNCERTAINTY),
                one.result.get("plane", IN_PLANE),
                scale_words(one.inputs),
                one.inputs["scale_source"],
                one.residual,
                "; ".join(one.result["warnings"]),
                f"{one.method} {one.method_version}",
                one.note,
            ]


def printed_measurements(measurements: Iterable[Measurement]) -> list[dict[str, Any]]:
    """Return what the report's table of measurements prints."""
    rows = []
    for one in measurements:
        uses = [f"{use['dimension']} of [{use['finding']}]" for use in _used_for(one)]
        sizes = [
            f"{quantity['name']} {quantity_words(quantity)}"
            for quantity in one.result["quantities"]
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
                "sizes": "; ".join(sizes),
                "about": ". ".join(
                    part
                    for part in (
                        f"Gives the {' and the '.join(uses)}" if uses else "",
                        one.note.rstrip("."),
                        *(warning.capitalize() for warning in one.result["warnings"]),
                    )
                    if part
                ),
                "scale": f"{scale_words(one.inputs)}; residual {one.residual}",
                "method": f"{one.method.replace('_', ' ')} {one.method_version}",
            }
        )
    return rows
