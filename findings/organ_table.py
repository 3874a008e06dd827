"""Organ weights beside their published reference, where the method offers one. No database."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from findings.calculations.fields import BadInput
from findings.calculations.organ_reference import ORGAN_NAMES
from findings.calculations.organ_weights import METHOD
from findings.models import OrganWeight


@dataclass(frozen=True)
class Reference:
    """Where a weight stands against its reference, in words; `reason` when there is none."""

    place: str = ""
    range_words: str = ""
    mean_words: str = ""
    reason: str = ""
    warnings: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class OrganRow:
    """One organ of the quick table: its weight if it was weighed."""

    organ: str
    title: str
    weight: OrganWeight | None
    reference: Reference


def reference_for(
    organ: str, weight_g: float | None, sex: str, age_years: float | None
) -> Reference:
    """The reference for one organ; without a weight only its range is given."""
    name = organ.replace(" ", "_")
    if name not in ORGAN_NAMES or sex not in ("male", "female"):
        return Reference()
    given: dict[str, Any] = {"sex": sex, "organ": name, "weight_g": weight_g or 1.0}
    if age_years is not None:
        given["age_years"] = age_years
    try:
        result = METHOD.run(given)
    except BadInput:
        return Reference()
    if result.outcome.reason:
        return Reference(reason=result.outcome.reason)
    found = result.outcome.fields
    interval = result.outcome.interval
    return Reference(
        place=_place(found) if weight_g is not None else "",
        range_words=f"{interval.low:.0f} to {interval.high:.0f} g" if interval else "",
        mean_words=f"mean {found['mean_g']:.0f} g",
        warnings=list(result.outcome.warnings),
    )


def _place(found: Any) -> str:
    place = found.get("reference95") or found.get("observed") or ""
    return {"within": "within the range", "below": "below the range", "above": "above the range"}[
        place
    ]


def table(
    weights: list[OrganWeight], sex: str, age_years: float | None
) -> tuple[list[OrganRow], list[str]]:
    """Every organ with its weight and reference, and the warnings that stand below the table."""
    rows, warnings = [], []
    by_organ: dict[str, list[OrganWeight]] = {}
    for weight in weights:
        by_organ.setdefault(weight.organ, []).append(weight)
    for organ, title in OrganWeight.ORGANS:
        for weighed in by_organ.get(organ) or [None]:  # type: ignore[list-item]
            grams = float(weighed.weight_g) if weighed else None
            reference = reference_for(organ, grams, sex, age_years)
            warnings += [one for one in reference.warnings if one not in warnings]
            rows.append(OrganRow(organ, title, weighed, reference))
    return rows, warnings


CAUTIONS = METHOD.cautions
