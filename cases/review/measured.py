"""How the report says that a finding was measured on a photograph."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from evidence.measuring.rules import IN_PLANE, ScaleKind, interval_words, quantity_words, size_mm
from findings.calculations.photo_assumptions import as_shown
from findings.models import Finding
from findings.rules import MeasuredBy


def sizes_on_photographs(
    findings: Iterable[Finding], uses: Iterable[dict[str, Any]]
) -> dict[str, list[dict[str, Any]]]:
    """Return, by a finding's key, the measurements from which it has its length and width now.

    Of several the latest counts. Who measured anew with a ruler or typed another size has it from
    no photograph any longer.
    """
    latest = {(use["finding"], use["dimension"]): use for use in uses}
    sizes: dict[str, list[dict[str, Any]]] = {}
    for finding in findings:
        if finding.measured_by != MeasuredBy.PHOTOGRAPH:
            continue
        for dimension in ("length", "width"):
            use = latest.get((str(finding.pk), dimension))
            if use and size_mm(use["result"]) == getattr(finding, f"{dimension}_mm"):
                sizes.setdefault(str(finding.pk), []).append(use)
    return sizes


def measured_words(uses: Sequence[dict[str, Any]]) -> str:
    """Say it in a sentence: On photograph 7 its length measures 5.82 cm (5.79 to 5.85), ..."""
    by_photograph: dict[int, list[str]] = {}
    results = [
        as_shown(
            use["result"],
            straight=use["scale_kind"] == ScaleKind.STRAIGHT,
            version=use["method_version"],
        )
        for use in uses
    ]
    intervals = [interval_words(result) for result in results]
    one_for_all = len(set(intervals)) == 1
    for use, result, interval in zip(uses, results, intervals, strict=True):
        words = f"its {use['dimension']} measures {quantity_words(result['quantities'][0])}"
        if not one_for_all:
            words += f", {interval}"
        by_photograph.setdefault(use["photograph"], []).append(words)
    link = " and " if one_for_all else ", and "
    parts = [f"on photograph {number} {link.join(said)}" for number, said in by_photograph.items()]
    if not parts:
        return ""
    ending = f"{intervals[0]}, {IN_PLANE}" if one_for_all else IN_PLANE
    said = "; ".join(parts)
    return f"{said[:1].upper()}{said[1:]}, {ending}."
