"""Whole answers of the lookups: every field, unit, warning and refusal, at both sides of a limit.

Figures are worked by hand from the published ones that the cases name; the tables themselves are
held against `tests/reference/values.json`.
"""

from __future__ import annotations

from typing import Any

import pytest

from findings.calculations import lividity_check
from findings.calculations.fields import BadInput
from findings.calculations.impact_minimum import joined
from findings.calculations.organ_reference import (
    MEN_I,
    MEN_II,
    ORGANS,
    OTHER_POPULATION,
    POPULATION,
    WOMEN_I,
    WOMEN_II,
)
from findings.calculations.organ_weights import placed
from findings.calculations.registry import calculate
from findings.calculations.result import Interval, Outcome
from findings.calculations.vitreous_potassium import LINES

near = pytest.approx


def outcome(method: str, **inputs: object) -> Outcome:
    return calculate(method, inputs).outcome  # type: ignore[arg-type]


def refused(method: str, **inputs: object) -> tuple[str | None, str]:
    with pytest.raises(BadInput) as caught:
        outcome(method, **inputs)
    return caught.value.field, caught.value.message


# Heart for body weight. Lucas 2011: 0.51 % of body weight; 5.1 g a kilogram.
NO_SPREAD = "no published spread was found: this is a comparison, not a test"


def test_the_whole_answer_of_a_heart_for_a_body() -> None:
    found = outcome("heart_for_body_weight", body_kg=80, height_cm=200, heart_g=400, age_years=14)
    assert found == Outcome(
        fields={
            "expected_heart_g": near(408),
            "bmi": near(20),  # 80 / 2.00^2
            "difference_g": near(-8),
            "heart_percent_of_body": near(0.5),
        },
        value=near(408),
        unit="g",
        warnings=(NO_SPREAD,),
    )
    without = outcome("heart_for_body_weight", body_kg=80, height_cm=200)
    assert without.fields == {"expected_heart_g": near(408), "bmi": near(20)}
    assert without.warnings == (NO_SPREAD, "age not given: the ratio holds from 14 years")


def test_the_heart_ratio_says_why_it_is_refused() -> None:
    # WHO TRS 894: underweight under 18.5, obesity from 30 kg/m2. At 200 cm: 74 kg and 120 kg.
    for body_kg in (74, 119.9):
        assert not outcome("heart_for_body_weight", body_kg=body_kg, height_cm=200).reason
    for body_kg, bmi, said in ((73.9, 18.475, "18.5"), (120, 30, "30.0")):
        found = outcome("heart_for_body_weight", body_kg=body_kg, height_cm=200)
        assert found.fields == {"estimate": None, "bmi": near(bmi)}
        assert found.reason == (
            f"body mass index {said} kg/m2: the ratio was stated only for people who are neither "
            "obese nor malnourished"
        )
    young = outcome("heart_for_body_weight", body_kg=80, height_cm=200, age_years=13.9)
    assert young.reason == "under 14 years: the ratio was stated for older people"
    assert young.fields == {"estimate": None}


# Organ weights. Molina and DiMaio 2012 and 2015; the second mean of de la Grandmaison et al. 2001.
NO_AGE = "age not given: the reference holds for 18 to 35 years"


def test_the_whole_answer_of_a_heart_of_a_man() -> None:
    # Mean 331 g, SD 56.7 g, 233 to 383 g: 444.4 g is two SD above the mean.
    found = outcome("organ_weights", sex="male", organ="heart", weight_g=444.4, age_years=18)
    assert found == Outcome(
        fields={
            "difference_from_mean_g": near(113.4),
            "reference95": "above",
            "z": near(2),
            "mean_g": 331,
            "observed_g": [188, 575],
            "reference95_g": [233, 383],
            "reference95_from_memory_g": None,
            "population": POPULATION["male"],
            "provenance": MEN_I,
            "other_population_mean_g": 365,
            "other_population": OTHER_POPULATION,
        },
        value=444.4,
        unit="g",
        interval=Interval(233, 383, "proposed 95 % range"),
    )


def test_the_whole_answer_where_only_a_mean_was_published() -> None:
    man = outcome("organ_weights", sex="male", organ="brain", weight_g=1400, age_years=35)
    woman = outcome("organ_weights", sex="female", organ="spleen", weight_g=125)
    assert man.fields == {
        "difference_from_mean_g": -7,
        "reference95": None,
        "z": None,
        "mean_g": 1407,
        "observed_g": [1070, 1767],
        "reference95_g": None,
        "reference95_from_memory_g": [1179, 1621],
        "population": POPULATION["male"],
        "provenance": MEN_II,
        "other_population_mean_g": None,
        "other_population": None,
    }
    assert woman.fields == {
        "difference_from_mean_g": 10,
        "reference95": None,
        "z": None,
        "mean_g": 115,
        "observed_g": [51, 275],
        "reference95_g": None,
        "reference95_from_memory_g": None,
        "population": POPULATION["female"],
        "provenance": WOMEN_II,
        "other_population_mean_g": None,
        "other_population": None,
    }
    assert (man.value, man.unit, man.interval) == (1400, "g", None)
    assert man.warnings == ("the 95 % range shown is from memory and was not used",)
    assert (woman.value, woman.unit, woman.warnings) == (125, "g", (NO_AGE,))


@pytest.mark.parametrize(
    ("age", "warnings"),
    [
        ({}, (NO_AGE,)),
        ({"age_years": 18}, ()),
        ({"age_years": 35}, ()),
        (
            {"age_years": 35.6},
            ("the decedent is 36 years old, older than the reference population (18 to 35 years)",),
        ),
    ],
)
def test_an_age_outside_the_population_is_said(age: dict[str, Any], warnings: object) -> None:
    found = outcome("organ_weights", sex="female", organ="liver", weight_g=1288, **age)
    assert found.warnings == warnings


def test_an_organ_weight_says_why_it_is_refused() -> None:
    child = outcome("organ_weights", sex="male", organ="liver", weight_g=900, age_years=17.9)
    assert child.reason == "under 18 years: no reference for children is built in"
    doubtful = outcome("organ_weights", sex="female", organ="heart", weight_g=280)
    assert doubtful.reason == "the published figures for this organ and sex could not be confirmed"
    assert doubtful.fields == {
        "estimate": None,
        "provenance": WOMEN_I,
        "reference95_from_memory_g": [148, 296],
    }


def test_what_an_organ_weight_needs_is_named() -> None:
    whole = {"sex": "male", "organ": "heart", "weight_g": 400}
    for name in whole:
        given = {key: value for key, value in whole.items() if key != name}
        assert refused("organ_weights", **given) == (name, "is required")
        for other in ({"heart_g": 400}, {"body_kg": 80}):
            assert refused("organ_weights", **{name: whole[name]}, **other) == (
                name,
                "give either one organ, or heart_g and body_kg",
            )
    assert refused("organ_weights", heart_g=400) == ("body_kg", "is required")
    assert refused("organ_weights", body_kg=80) == ("heart_g", "is required")


def test_a_heart_and_a_body_give_their_ratio_alone() -> None:
    assert outcome("organ_weights", heart_g=400, body_kg=80) == Outcome(
        fields={"heart_percent_of_body": near(0.5)},
        value=near(0.5),
        unit="%",
        warnings=(
            "a ratio only: in the 2012 study body weight did not predict heart weight in men",
        ),
    )


def test_the_ends_belong_to_a_range() -> None:
    places = [placed(grams, (2.0, 5.0)) for grams in (1.9, 2, 5, 5.1)]
    assert places == ["below", "within", "within", "above"]
    assert all(row.observed_g != row.reference95_g for row in ORGANS["male"].values())


# Vitreous potassium. Coefficients as in `tests/reference/values.json`.
NEGATIVE = (
    "negative time: the potassium lies below the value that this formula starts from, so it gives "
    "no estimate"
)
TOO_LONG = "more than 120 h: beyond the time for which the formulae were established"
LATE = "more than 100 h: at the end of the range of the formulae"
UNBOUNDED = "no published 95 % limits found, no interval shown: "


def vitreous(formula: str, hours: float | None = None, **inputs: object) -> Outcome:
    """The answer of one line; the potassium that stands for the hours."""
    if hours is not None:
        line = LINES[formula]
        inputs["potassium_mmol_L"] = (hours + line.intercept) / line.slope
    return outcome("vitreous_potassium", formula=formula, **inputs)


def test_the_whole_answer_of_a_line_with_limits() -> None:
    # Madea 1989: 5.26 x 10 - 30.9 = 21.7 h; +- 26 h on other cases, +- 19 h as stated.
    assert vitreous("madea1989", potassium_mmol_L=10) == Outcome(
        fields={
            "formula": "madea1989",
            "t_h": near(21.7),
            "estimate": near(21.7),
            "band95_h": 26,
            "stated_band95_h": 19,
            "low_h": 0,
            "high_h": near(47.7),
            "provenance": "published, secondary page seen",
            "report": None,
        },
        value=near(21.7),
        unit="h",
        interval=Interval(0.0, near(47.7), "95 %"),  # type: ignore[arg-type]
    )
    # Sturner 1963: 7.14 x 12 - 39.1 = 46.58 h, +- 33 h.
    interval = vitreous("sturner1963", potassium_mmol_L=12).interval
    assert interval is not None
    assert (interval.low, interval.high) == (near(13.58), near(79.58))


def test_the_whole_answer_of_a_line_without_limits() -> None:
    # James 1997: 4.32 x 10 - 18.35 = 24.85 h.
    assert vitreous("james1997", potassium_mmol_L=10) == Outcome(
        fields={
            "formula": "james1997",
            "t_h": near(24.85),
            "estimate": near(24.85),
            "band95_h": None,
            "stated_band95_h": None,
            "low_h": None,
            "high_h": None,
            "provenance": "coefficients from memory",
            "report": None,
        },
        value=near(24.85),
        unit="h",
        warnings=("coefficients from memory: james1997", UNBOUNDED + "james1997"),
    )


@pytest.mark.parametrize(
    ("hours", "reason", "warnings"),
    [(-0.01, NEGATIVE, ()), (0.01, None, ()), (100, None, ()), (100.01, None, (LATE,)),
     (119.99, None, (LATE,)), (120.01, TOO_LONG, (LATE,))],
)  # fmt: skip
def test_the_range_of_the_lines_ends_at_its_limits(
    hours: float, reason: str | None, warnings: tuple[str, ...]
) -> None:
    found = vitreous("madea1989", hours)
    assert (found.reason, found.warnings) == (reason, warnings)
    assert found.fields["t_h"] == near(hours)
    assert found.fields["report"] == reason
    if reason:
        assert (found.value, found.interval) == (None, None)
        assert [found.fields[name] for name in ("estimate", "low_h", "high_h")] == [None] * 3
        assert (found.fields["band95_h"], found.fields["formula"]) == (26, "madea1989")


def test_a_time_of_exactly_nothing_and_of_exactly_the_longest_are_estimates() -> None:
    from findings.calculations.vitreous_potassium import _no_estimate

    assert [_no_estimate(hours) for hours in (0.0, 120.0)] == [None, None]


def test_all_lines_say_whose_figures_are_from_memory_and_whose_have_no_limits() -> None:
    found = outcome("vitreous_potassium", potassium_mmol_L=8)
    names = "james1997, munoz2001, munoz_barus2002, munoz_barus2002_hanging"
    memory = "coefficients from memory: james1997, munoz2001"
    assert set(found.fields) == {"formulae"}
    for row in found.fields["formulae"]:
        alone = outcome("vitreous_potassium", potassium_mmol_L=8, formula=row["formula"])
        assert alone.fields == row
    assert (found.unit, found.notes) == ("h", ("shown side by side, not averaged",))
    assert found.warnings == (memory, UNBOUNDED + names)
    # The longest is Sturner's: 7.14 x 20 - 39.1 = 103.7 h; the next, Madea's, is 74.3 h.
    assert outcome("vitreous_potassium", potassium_mmol_L=20).warnings[-1] == LATE


# Urea is 2.14 times its nitrogen (60.06 / 28.01, molar masses): 100 mg/dL and 47 mg/dL.
@pytest.mark.parametrize(
    ("analyte", "value", "is_refused"),
    [
        ("urea", 99.9, False),
        ("urea", 100, True),
        ("urea", 60, False),
        ("urea nitrogen", 46, False),
        ("urea nitrogen", 46.7, False),
        ("urea nitrogen", 47, True),
        ("urea nitrogen", 60, True),
        ("urea nitrogen", 100, True),
    ],
)
def test_retained_urea_is_refused_whichever_was_measured(
    analyte: str, value: float, is_refused: bool
) -> None:
    inputs = {"potassium_mmol_L": 8, "urea_mg_dL": value, "urea_analyte": analyte}
    assert (outcome("vitreous_potassium", **inputs).reason is not None) is is_refused
    assert pytest.approx(2.14, abs=0.005) == 60.06 / 28.01


def test_retained_urea_and_its_half_given_value_say_why() -> None:
    measured = {"potassium_mmol_L": 8, "urea_mg_dL": 100, "urea_analyte": "urea"}
    found = outcome("vitreous_potassium", **measured)
    assert found.reason == (
        "urea of 100 mg/dL or more (urea nitrogen of 47 mg/dL or more): retention before death, "
        "the formulae do not hold"
    )
    assert refused("vitreous_potassium", potassium_mmol_L=8, urea_mg_dL=1) == (
        "urea_analyte",
        "say whether urea or urea nitrogen was measured",
    )
    assert refused("vitreous_potassium", potassium_mmol_L=8, urea_analyte="urea") == (
        "urea_mg_dL",
        "give the value that was measured",
    )


# Impacts: common practice, the smallest number that the marks need.
def test_the_whole_answer_of_some_impacts() -> None:
    found = outcome(
        "impacts",
        marks=["A", "B", "C", "D", "E", "F"],
        overlapping=[["B", "D"], ["D", "F", "E"]],
        possibly_one_blow=[["C", "A"], ["F", "B"]],
        excluded=["F"],
    )
    assert found == Outcome(
        fields={
            "at_least": 2,
            "wording": "at least 2",
            "groups": [["A", "C"], ["B", "D", "E"]],
        },
        value=2,
        unit="impacts",
    )
    nothing = outcome("impacts", marks=["A"], excluded=["A"])
    assert nothing.fields == {"at_least": 0, "wording": "no impact counted", "groups": []}


def test_a_wrong_mark_is_said_in_words() -> None:
    absent = "names 'B', which is not among the marks"
    alone = "each entry must name two marks or more"
    for name in ("overlapping", "possibly_one_blow"):
        assert refused("impacts", marks=["A"], **{name: [["A", "B"]]}) == (name, absent)
        assert refused("impacts", marks=["A"], **{name: [["A"]]}) == (name, alone)
    assert refused("impacts", marks=["A"], excluded=["C", "B"]) == ("excluded", absent)
    assert refused("impacts", marks=["A", "B", "A"]) == ("marks", "names a mark twice")
    assert refused("impacts", excluded=["A"]) == ("marks", "is required")


def test_a_chain_of_links_is_one_group_whichever_way_it_is_given() -> None:
    chain = [["A", "B"], ["C", "D"], ["B", "C"], ["E", "F"]]
    marks = ["A", "B", "C", "D", "E", "F"]
    for links in (chain, chain[::-1], [chain[2], chain[0], chain[3], chain[1]]):
        assert joined(marks, links) == [["A", "B", "C", "D"], ["E", "F"]]


# Lividity. The conclusion is common practice.
UNKNOWN = "lividity does not agree; fixation not recorded: no conclusion, record blanching"
FIXED = (
    "fixed lividity does not go with the position found: a change of position after it fixed is "
    "one explanation; ask who moved the body and when"
)
UNFIXED = (
    "unfixed lividity does not agree: position may have been changed, lividity could still shift"
)


@pytest.mark.parametrize(
    ("matches", "fixed", "statement"),
    [
        ("prone", {"fixed": True}, "lividity agrees with the position found"),
        ("supine", {}, UNKNOWN),
        ("supine", {"fixed": None}, UNKNOWN),
        ("supine", {"fixed": True}, FIXED),
        ("supine", {"fixed": False}, UNFIXED),
    ],
)
def test_the_whole_answer_of_a_comparison(
    matches: str, fixed: dict[str, bool | None], statement: str
) -> None:
    found = outcome("lividity_rigor", position_found="prone", lividity_matches=matches, **fixed)
    regions = lividity_check.REGIONS["prone"]
    assert found == Outcome(
        fields={
            "consistent": matches == "prone",
            "statement": statement,
            "expected_dependent": list(regions["dependent"]),
            "expected_pale": list(regions["pale"]),
        },
        value=statement,
    )


def test_the_whole_answer_of_each_question_about_lividity() -> None:
    for question, table in (
        ("lividity hours", lividity_check.LIVIDITY_HOURS),
        ("rigor hours", lividity_check.RIGOR_HOURS),
    ):
        hours = {stage: list(both) for stage, both in table.items()}
        assert outcome("lividity_rigor", question=question) == Outcome(
            fields={"hours": hours},
            value=hours,  # type: ignore[arg-type]
            unit="h",
            warnings=("single figures give no time of death",),
        )
    for part in ("dependent", "pale"):
        regions = list(lividity_check.REGIONS["sitting"][part])
        asked = {"question": f"expected {part}", "position": "sitting"}
        assert outcome("lividity_rigor", **asked) == Outcome(
            fields={"regions": regions},
            value=regions,  # type: ignore[arg-type]
            warnings=("most of these regions are from memory",),
        )


def test_a_question_about_lividity_is_no_comparison() -> None:
    either = "give either a question, or a comparison"
    compared = {"position_found": "prone", "lividity_matches": "supine", "fixed": True}
    for name, value in compared.items():
        given = {name: value}
        assert refused("lividity_rigor", question="rigor hours", **given) == (name, either)
    for given, missing in (
        ({"position": "prone"}, "question"),
        ({"question": "expected pale"}, "position"),
        ({"position_found": "prone"}, "lividity_matches"),
        ({"lividity_matches": "prone"}, "position_found"),
    ):
        assert refused("lividity_rigor", **given) == (missing, "is required")
