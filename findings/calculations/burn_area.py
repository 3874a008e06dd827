"""Burned share of the body surface.

By the chart of Lund and Browder (the chart's own age column, by band, not interpolated), by the
rule of nines, by counted palms, or by summing areas measured on the body chart.

Formula:
    percent = sum over regions of (share of the region x fraction of it that is burned)
    palms: 1 % each with fingers, 0.5 % each without
    charted: sum of the areas measured on the body chart

Range:
    Lund-Browder: all ages; columns birth, 1, 5, 10, 15, adult, taken by band (0, 1-4, 5-9, 10-14,
    15, from 16). Rule of nines: adults only, refused under 16 years. Fractions from 0 to 1.

Sources:
    - Lund CC, Browder NC. Surg Gynecol Obstet 1944;79:352-358 (age rows seen on a wound-care
      teaching page; regions that do not change with age from memory).
    - Wallace AB. Lancet 1951;1:501-504 (rule of nines).
    - Palm with fingers about 1 %, without about 0.5 %: common practice.

Cautions:
    - Erythema alone is not counted.
    - Show which chart and which age column was used.
    - A paper puts the adult palm with fingers at 0.78 %: palms overestimate in adults.
    - Heat after death also burns skin: the share says nothing about when it burned.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

from collections.abc import Mapping

from findings.calculations.burn_tables import (
    AGE_COLUMNS,
    LUND_BROWDER,
    PALM_WITH_FINGERS,
    PALM_WITHOUT_FINGERS,
    RULE_OF_NINES,
    age_column,
)
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, refusal

LUND_BROWDER_NAME = "Lund-Browder"
NINES_NAME = "rule of nines"
# Common practice: the rule of nines is taught for adults, see Range.
ADULT_FROM_YEARS = 16.0
WAYS = ("fraction_burned", "palm_count", "charted_percent")


def burned_percent(shares: Mapping[str, float], fractions: Mapping[str, float]) -> float:
    """Sum of region shares times burned fractions; both by region key."""
    return sum(shares[region] * fraction for region, fraction in fractions.items())


def _column_and_years(age: str) -> tuple[str, float | None]:
    """The age column for 'adult', a column's name or an age in years."""
    text = age.strip().casefold()
    if text == "adult":
        return "adult", None
    try:
        years = float(text)
    except ValueError:
        years = -1.0
    if not 0 <= years <= 130:
        raise BadInput("age", "must be 'adult' or an age in years from 0 to 130")
    return age_column(years), years


def _by_chart(inputs: Inputs) -> Outcome:
    chart = inputs.text("chart")
    fractions: dict[str, float] = inputs.raw("fraction_burned")
    if chart == NINES_NAME:
        years = _column_and_years(inputs.text("age", "adult"))[1]
        if years is not None and years < ADULT_FROM_YEARS:
            return refusal("rule of nines in a child: the rule holds for adults, use Lund-Browder")
        shares, column = RULE_OF_NINES, None
    else:
        column = _column_and_years(inputs.text("age"))[0]
        shares = LUND_BROWDER[column]
    for region in fractions:
        if region not in shares:
            raise BadInput(
                f"fraction_burned.{region}", "is not a region of this chart: " + ", ".join(shares)
            )
    percent = burned_percent(shares, fractions)
    return Outcome(
        fields={"tbsa_percent": percent, "chart": chart, "age_column": column},
        value=percent,
        unit="% body surface",
        warnings=("regions that do not change with age are from memory",) if column else (),
    )


def _total(percent: float, chart: str, warning: str) -> Outcome:
    if percent > 100:
        return refusal("more than 100 % of the body surface: areas were counted twice")
    return Outcome(
        fields={"tbsa_percent": percent, "chart": chart, "age_column": None},
        value=percent,
        unit="% body surface",
        warnings=(warning,),
    )


def compute(inputs: Inputs) -> Outcome:
    """Percent of the body surface by the one way that was given."""
    given = [way for way in WAYS if inputs.has(way)]
    if len(given) != 1:
        message = "is required, or palm_count, or charted_percent"
        if given:
            message = "give only one of: " + ", ".join(given)
        raise BadInput(given[-1] if given else "fraction_burned", message)
    if given[0] == "palm_count":
        each = PALM_WITH_FINGERS if inputs.flag("with_fingers", True) else PALM_WITHOUT_FINGERS
        return _total(inputs.number("palm_count") * each, "palms", "common practice, a rough count")
    if given[0] == "charted_percent":
        areas: list[float] = inputs.raw("charted_percent")
        return _total(
            sum(areas), "body chart", "overlapping outlines are counted twice: check the chart"
        )
    return _by_chart(inputs)


FIELDS = (
    Field(
        "chart",
        Kind.CHOICE,
        "Which chart the fractions belong to.",
        choices=(LUND_BROWDER_NAME, NINES_NAME),
    ),
    Field(
        "age",
        Kind.TEXT_OR_NUMBER,
        "'adult' or the age in years; required for Lund-Browder. Columns: "
        + ", ".join(AGE_COLUMNS)
        + ".",
    ),
    Field(
        "fraction_burned",
        Kind.FRACTIONS,
        "Burned fraction of each region, by the region's key.",
        minimum=0,
        maximum=1,
    ),
    Field("palm_count", Kind.NUMBER, "Number of the decedent's palms.", minimum=0, maximum=1000),
    Field(
        "with_fingers", Kind.FLAG, "Whether the palms were counted with fingers; true if not given."
    ),
    Field(
        "charted_percent",
        Kind.NUMBERS,
        "Areas measured on the body chart.",
        "% body surface",
        minimum=0,
        maximum=100,
    ),
)
RESULT_FIELDS = (
    ResultField("tbsa_percent", "% body surface", "Burned share of the body surface."),
    ResultField("chart", "", "Which chart was used."),
    ResultField("age_column", "years", "Which age column was used."),
)
METHOD = define(
    __doc__,
    name="burn_area",
    title="Burned body surface",
    version="1.0",
    fields=FIELDS,
    result_fields=RESULT_FIELDS,
    example={
        "chart": "Lund-Browder",
        "age": "5",
        "fraction_burned": {"right_thigh_front": 1, "right_thigh_back": 1},
    },
    compute=compute,
)
