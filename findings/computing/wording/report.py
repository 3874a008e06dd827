"""A kept calculation as one passage of the report. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from findings.calculations.registry import find
from findings.computing.wording.inputs import given_of
from findings.computing.wording.phrasing import FROM_MEMORY, Phrased, as_sentence, phrase
from findings.computing.wording.summaries import first_small, iso_words
from me_office.statements import COMMON_PRACTICE, statement

CAUTION = statement(
    "report.calculation",
    "A published method applied to the values named; it supports the pathologist's judgment and "
    "does not decide.",
    where="Report",
    source=COMMON_PRACTICE,
).text
_NAMED = {"organ_weights": ("Population",), "burn_area": ("Age column",)}


def report_text(
    method: str,
    inputs: Mapping[str, object],
    result: Mapping[str, object],
    measured_at: datetime | None,
    zone: ZoneInfo,
) -> str:
    """Inputs in words, the result with its interval, version and caution."""
    phrased = phrase(method, result, inputs, measured_at, zone)
    given = "; ".join(
        f"{first_small(one.label)} {one.words}" for one in given_of(find(method), inputs, {}, zone)
    )
    measured = f"; measured {iso_words(measured_at.isoformat(), zone)}" if measured_at else ""
    parts = [as_sentence(f"{given}{measured}")]
    if phrased.refusal:
        parts += [f"The method gives no estimate: {phrased.refusal}", phrased.summary.minimum]
    else:
        parts += [
            as_sentence(phrased.summary.headline),
            phrased.summary.interval,
            phrased.summary.clock,
        ]
        parts += _further(method, phrased)
    parts.append(f"Method version {phrased.version}.")
    parts.append(CAUTION)
    return " ".join(part for part in parts if part)


def _further(method: str, phrased: Phrased) -> list[str]:
    """What the method's own cautions ask the report to name: formula, population, chart, plane."""
    if method == "vitreous_potassium":
        rows = [row for table in phrased.summary.tables for row in table.rows]
        return [as_sentence("; ".join(f"{row[0]} {row[1]} ({row[2]})" for row in rows))]
    lines = [
        f"{first_small(label)} {words}"
        for label, words in phrased.summary.lines
        if label in _NAMED.get(method, ()) or method in ("wound_path", "body_size")
    ]
    return [as_sentence("; ".join(lines))]


def sources_text(method: str) -> str:
    """The sources of a method in one passage, with what could not be confirmed marked."""
    found = find(method)
    said = "; ".join(one.rstrip(".") for one in found.sources)
    return as_sentence(said.replace(FROM_MEMORY, "source not checked"))
