"""What laboratories reported, and what a signed report gains by it: data alone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from me_office.demo.scenario import Act

Line = tuple[str, str, str]


def result(
    by: str, name: str, of: tuple[str, timedelta], on: list[str], *lines: Line, **entry: Any
) -> Act:
    """Record a final report: its kind and day, the specimens it names, and its analytes.

    A line is analyte, what was reported (0.54 mg/L, or "not detected"), material.
    """
    kind, at = of
    said = {"kind": kind, "status": "final", "reported_on": at, "received_on": at}
    rows = [_line(*line) for line in lines]
    return Act(by, "record_result", {**said, **entry}, name=name, more={"on": on, "lines": rows})


def _line(analyte: str, reported: str, matrix: str) -> dict[str, str]:
    value, _, unit = reported.partition(" ")
    if not value[:1].isdigit():
        return {"analyte": analyte, "relation": reported, "matrix": matrix}
    return {
        "analyte": analyte, "relation": "=", "value": value, "unit": unit, "matrix": matrix
    }  # fmt: skip


def rests(by: str, on: str, **entry: Any) -> Act:
    """Add to the signed report what rests on a result."""
    return Act(by, "add_addendum", entry, about=on)
