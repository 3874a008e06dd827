"""Organ weights beside their published reference, where the method offers one. No database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from findings.calculations.fields import BadInput
from findings.calculations.organ_reference import AGE_RANGE_YEARS, ORGAN_NAMES
from findings.calculations.organ_weights import METHOD
from findings.organs.models import OrganWeight
from me_office.statements import COMMON_PRACTICE, statement

NO_CHILDREN = statement(
    "organs.no-children",
    "Under 18 years: no reference is built in. Published ones exist, such as Pryce et al., BMC "
    "Clin Pathol 2014;14:18, for infants.",
    where="Organ weights",
    source="Pryce JW et al., BMC Clin Pathol 2014;14:18 (abstract seen; its centiles were not "
    "taken over)",
)
AFTER_FIXATION = statement(
    "organs.after-fixation",
    "weighed after fixation: the reference is of fresh organs",
    where="Organ weights",
    source=COMMON_PRACTICE,
)

# Rows that are left out where the other sex is recorded and nothing was weighed.
OF_ONE_SEX = {
    "male": ("uterus", "right ovary", "left ovary"),
    "female": ("prostate", "right testis", "left testis"),
}


@dataclass(frozen=True)
class Reference:
    """Mean and range of a reference in words; `reason` when there is none.

    A weight is placed only in a published interval: the smallest and the largest weight ever seen
    in a sample are no interval.
    """

    place: str = ""
    is_outside: bool = False
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
    if name not in ORGAN_NAMES or sex not in ("male", "female") or no_reference(age_years):
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
    place = str(found["reference95"] or "") if weight_g is not None else ""
    if found["reference95_g"]:
        range_words = f"proposed 95 % range {_span(found['reference95_g'])}"
    else:
        range_words = f"smallest and largest seen {_span(found['observed_g'])}"
    return Reference(
        place=f"{place} that range" if place else "",
        is_outside=place in ("below", "above"),
        range_words=range_words,
        mean_words=f"mean {found['mean_g']:.0f} g",
        warnings=list(result.outcome.warnings),
    )


def no_reference(age_years: float | None) -> str:
    """Why nobody of this age has a reference, in one sentence; empty where one is built in."""
    if age_years is None or age_years >= AGE_RANGE_YEARS[0]:
        return ""
    return NO_CHILDREN.say()


def _span(bounds: Any) -> str:
    return f"{bounds[0]:.0f} to {bounds[1]:.0f} g"


def table(
    weights: list[OrganWeight], sex: str, age_years: float | None
) -> tuple[list[OrganRow], list[str]]:
    """Every organ with its weight and reference, and the warnings that stand below the table."""
    rows, warnings = [], []
    nothing: Sequence[OrganWeight | None] = [None]
    by_organ: dict[str, list[OrganWeight]] = {}
    for weight in weights:
        by_organ.setdefault(weight.organ, []).append(weight)
    for organ, title in OrganWeight.ORGANS:
        if organ in OF_ONE_SEX.get(sex, ()) and organ not in by_organ:
            continue
        for weighed in by_organ.get(organ, nothing):
            grams = float(weighed.weight_g) if weighed else None
            reference = reference_for(organ, grams, sex, age_years)
            if weighed is not None and weighed.after_fixation:
                reference = Reference(reason=AFTER_FIXATION.say())
            warnings += [one for one in reference.warnings if one not in warnings]
            rows.append(OrganRow(organ, title, weighed, reference))
    return rows, warnings


CAUTIONS = METHOD.cautions
