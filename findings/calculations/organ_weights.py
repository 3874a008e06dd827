"""An adult organ weight against a published reference.

Gives the mean and the smallest and largest weight seen in a named population, the distance from
the mean, and a z value and a place only where the source gives a standard deviation or a 95 %
range. Given a heart and a body weight, it also gives their ratio.

Formula:
    difference = weight - mean;  z = (weight - mean) / SD, where an SD was published
    place = below / within / above the proposed 95 % range, where one was published
    heart as percent of body = heart in g / (10 x body in kg)

Range:
    Adults. The reference population is 18 to 35 years old: other adult ages carry a warning.
    Under 18 years the method refuses: no reference is built in. The heart of women is refused: its
    figures could not be confirmed.

Sources:
    - Molina DK, DiMaio VJM. Normal organ weights in men. Am J Forensic Med Pathol
      2012;33:362-367 (heart) and 368-372 (brain, lungs, liver, spleen, kidneys); abstracts seen.
    - Molina DK, DiMaio VJM. Normal organ weights in women, part II. Am J Forensic Med Pathol
      2015, doi 10.1097/PAF.0000000000000175; abstract seen (36:182-187 from memory).
    - de la Grandmaison GL et al. Forensic Sci Int 2001;119:149-154 (means of another population,
      as quoted on a public health page).
    - 95 % ranges other than the heart of men: from memory, shown apart and not used.

Cautions:
    - Men's heart: the source prints mean 331 g, SD 56.7 g and a 95 % range of 233 to 383 g, while
      mean +- 1.96 SD would be 220 to 442 g. The printed range is shown; the two do not agree.
    - Other populations are heavier: see the second mean. State the population in the report.
    - There is no agreed limit for an enlarged heart; offices use 350 to 500 g (J Forensic Sci
      2025, doi 10.1111/1556-4029.70135).
    - The smallest and largest weight seen in a sample are no reference interval: they grow with
      the sample, and a weight between them is not shown to be normal.
    - Children: Pryce et al., BMC Clin Pathol 2014;14:18, give centiles of infants; they are not
      built in.
    - Fixation, retained clot, edema and decomposition change weights.
    - A weight outside a range is not a disease; a licensed pathologist judges it with the rest.
"""

from __future__ import annotations

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.organ_reference import (
    AGE_RANGE_YEARS,
    ORGAN_NAMES,
    ORGANS,
    OTHER_MEANS_G,
    OTHER_POPULATION,
    POPULATION,
    OrganRow,
)
from findings.calculations.result import Interval, Outcome, Plain, refusal


def placed(weight_g: float, bounds: tuple[float, float]) -> str:
    """Below, within or above a range whose ends belong to it."""
    low, high = bounds
    if weight_g < low:
        return "below"
    return "above" if weight_g > high else "within"


def heart_percent_of_body(heart_g: float, body_kg: float) -> float:
    """Heart weight as percent of body weight."""
    return heart_g / (10 * body_kg)


def _pair(bounds: tuple[float, float] | None) -> Plain:
    return None if bounds is None else [bounds[0], bounds[1]]


def _row_fields(row: OrganRow, sex: str, organ: str, weight_g: float) -> dict[str, Plain]:
    other_mean = OTHER_MEANS_G[sex].get(organ)
    return {
        "difference_from_mean_g": weight_g - row.mean_g,
        "reference95": placed(weight_g, row.reference95_g) if row.reference95_g else None,
        "z": (weight_g - row.mean_g) / row.sd_g if row.sd_g else None,
        "mean_g": row.mean_g,
        "observed_g": _pair(row.observed_g),
        "reference95_g": _pair(row.reference95_g),
        "reference95_from_memory_g": _pair(row.remembered95_g),
        "population": POPULATION[sex],
        "provenance": row.provenance,
        "other_population_mean_g": other_mean,
        "other_population": OTHER_POPULATION if other_mean else None,
    }


def _ratio(inputs: Inputs) -> Outcome:
    percent = heart_percent_of_body(inputs.number("heart_g"), inputs.number("body_kg"))
    return Outcome(
        fields={"heart_percent_of_body": percent},
        value=percent,
        unit="%",
        warnings=(
            "a ratio only: in the 2012 study body weight did not predict heart weight in men",
        ),
    )


def _warnings(row: OrganRow, age_years: float | None) -> tuple[str, ...]:
    found = []
    if age_years is None:
        found.append("age not given: the reference holds for 18 to 35 years")
    elif age_years > AGE_RANGE_YEARS[1]:
        found.append(
            f"the decedent is {age_years:.0f} years old, older than the reference population "
            "(18 to 35 years)"
        )
    if row.remembered95_g:
        found.append("the 95 % range shown is from memory and was not used")
    return tuple(found)


def compute(inputs: Inputs) -> Outcome:
    """The place of one organ weight, or the ratio of heart to body."""
    if inputs.has("heart_g") or inputs.has("body_kg"):
        for name in ("sex", "organ", "weight_g"):
            if inputs.has(name):
                raise BadInput(name, "give either one organ, or heart_g and body_kg")
        return _ratio(inputs)
    sex, organ, weight = inputs.text("sex"), inputs.text("organ"), inputs.number("weight_g")
    age = inputs.number("age_years") if inputs.has("age_years") else None
    if age is not None and age < AGE_RANGE_YEARS[0]:
        return refusal("under 18 years: no reference for children is built in")
    row = ORGANS[sex][organ]
    if not row.is_confirmed:
        return refusal(
            "the published figures for this organ and sex could not be confirmed",
            fields={
                "provenance": row.provenance,
                "reference95_from_memory_g": _pair(row.remembered95_g),
            },
        )
    bounds = row.reference95_g
    return Outcome(
        fields=_row_fields(row, sex, organ, weight),
        value=weight,
        unit="g",
        interval=Interval(bounds[0], bounds[1], "proposed 95 % range") if bounds else None,
        warnings=_warnings(row, age),
    )


METHOD = define(
    __doc__,
    name="organ_weights",
    other_names=("organ_reference",),
    title="Organ weight against reference",
    version="1.1",
    fields=(
        Field("sex", Kind.CHOICE, "Sex of the reference.", choices=("male", "female")),
        Field("organ", Kind.CHOICE, "Which organ.", choices=ORGAN_NAMES),
        Field("weight_g", Kind.NUMBER, "Weight of the organ.", "g", above=0, maximum=20_000),
        Field("age_years", Kind.NUMBER, "Age of the decedent.", "years", minimum=0, maximum=130),
        Field(
            "heart_g",
            Kind.NUMBER,
            "Heart weight, for the ratio alone.",
            "g",
            above=0,
            maximum=20_000,
        ),
        Field(
            "body_kg",
            Kind.NUMBER,
            "Body weight, for the ratio alone.",
            "kg",
            above=0.1,
            maximum=1000,
        ),
    ),
    result_fields=(
        ResultField("difference_from_mean_g", "g", "Weight less the mean."),
        ResultField("reference95", "", "Place in the proposed 95 % range, where published."),
        ResultField("z", "", "Distance from the mean in SD, where an SD was published."),
        ResultField("mean_g", "g", "Mean of the reference population."),
        ResultField("observed_g", "g", "Smallest and largest weight seen in the population."),
        ResultField("reference95_g", "g", "Proposed 95 % range, where published."),
        ResultField("reference95_from_memory_g", "g", "95 % range from memory, not used."),
        ResultField("population", "", "Who the reference population is."),
        ResultField("provenance", "", "Where the figures come from."),
        ResultField("other_population_mean_g", "g", "Mean of another population."),
        ResultField("other_population", "", "Which other population."),
        ResultField("heart_percent_of_body", "%", "Heart as percent of body weight."),
    ),
    example={"sex": "male", "organ": "heart", "weight_g": 420, "age_years": 30},
    compute=compute,
)
