"""Burned surface row by row: ages, charts, palms and sums at both sides of every limit.

Shares: the charts in `burn_tables`, held in test_body_size_and_burns. Palms: common practice.
"""

from __future__ import annotations

import pytest

from findings.calculations.burn_tables import LUND_BROWDER, RULE_OF_NINES
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

CHART, NINES = "Lund-Browder", "rule of nines"
MEMORY = ("regions that do not change with age are from memory",)
CHILD = "rule of nines in a child: the rule holds for adults, use Lund-Browder"


def outcome(**inputs):
    return calculate("burn_area", inputs).outcome


@pytest.mark.parametrize(
    ("age", "column"),
    [
        ("adult", "adult"),
        (" ADULT ", "adult"),
        ("0", "0"),
        ("0.99", "0"),
        ("1", "1"),
        ("130", "adult"),
        (7, "5"),
        (15.9, "15"),
    ],
)
def test_an_age_is_the_word_adult_or_years(age, column):
    found = outcome(chart=CHART, age=age, fraction_burned={"head_front": 1, "right_hand_back": 0.5})
    shares = LUND_BROWDER[column]
    percent = shares["head_front"] + shares["right_hand_back"] / 2
    assert found.fields == {"tbsa_percent": percent, "chart": CHART, "age_column": column}
    assert (found.value, found.unit, found.warnings) == (percent, "% body surface", MEMORY)


@pytest.mark.parametrize("age", ["-0.1", "130.1", "old", "nan", "inf", "-1"])
def test_what_is_no_age_is_refused(age):
    with pytest.raises(BadInput) as caught:
        outcome(chart=CHART, age=age, fraction_burned={"head_front": 1})
    assert (caught.value.field, caught.value.message) == (
        "age",
        "must be 'adult' or an age in years from 0 to 130",
    )


@pytest.mark.parametrize(
    ("age", "reason"),
    [({}, None), ({"age": "adult"}, None), ({"age": "16"}, None), ({"age": "15.9"}, CHILD),
     ({"age": "0"}, CHILD)],
)  # fmt: skip
def test_the_rule_of_nines_holds_from_sixteen_years_on(age, reason):
    found = outcome(chart=NINES, fraction_burned={"trunk_front": 0.5}, **age)
    assert found.reason == reason
    if not reason:
        percent = RULE_OF_NINES["trunk_front"] / 2
        assert found.fields == {"tbsa_percent": percent, "chart": NINES, "age_column": None}
        assert (found.value, found.unit, found.warnings) == (percent, "% body surface", ())


ROUGH = ("common practice, a rough count",)
TWICE = ("overlapping outlines are counted twice: check the chart",)


@pytest.mark.parametrize(
    ("inputs", "percent", "chart", "warnings"),
    [
        ({"palm_count": 7}, 7, "palms", ROUGH),
        ({"palm_count": 7, "with_fingers": True}, 7, "palms", ROUGH),
        ({"palm_count": 7, "with_fingers": False}, 3.5, "palms", ROUGH),
        ({"palm_count": 100}, 100, "palms", ROUGH),
        ({"palm_count": 200, "with_fingers": False}, 100, "palms", ROUGH),
        ({"charted_percent": [60, 40]}, 100, "body chart", TWICE),
        ({"charted_percent": [1.5]}, 1.5, "body chart", TWICE),
    ],
)
def test_palms_and_charted_areas_are_added_up(inputs, percent, chart, warnings):
    found = outcome(**inputs)
    assert found.fields == {"tbsa_percent": percent, "chart": chart, "age_column": None}
    assert (found.value, found.unit, found.warnings) == (percent, "% body surface", warnings)


@pytest.mark.parametrize("inputs", [{"palm_count": 100.1}, {"charted_percent": [60, 40.1]}])
def test_more_than_a_whole_body_is_refused(inputs):
    assert outcome(**inputs).reason == (
        "more than 100 % of the body surface: areas were counted twice"
    )


NONE = "is required, or palm_count, or charted_percent"
HEAD = {"head": 1}


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({}, "fraction_burned", NONE),
        ({"palm_count": 1, "charted_percent": [1]}, "charted_percent",
         "give only one of: palm_count, charted_percent"),
        ({"fraction_burned": HEAD, "palm_count": 1, "charted_percent": [1]}, "charted_percent",
         "give only one of: fraction_burned, palm_count, charted_percent"),
        ({"chart": NINES, "fraction_burned": HEAD, "palm_count": 1}, "palm_count",
         "give only one of: fraction_burned, palm_count"),
        ({"chart": NINES, "fraction_burned": {"tail": 1}}, "fraction_burned.tail",
         "is not a region of this chart: " + ", ".join(RULE_OF_NINES)),
        ({"chart": CHART, "age": "5", "fraction_burned": {"tail": 1}}, "fraction_burned.tail",
         "is not a region of this chart: " + ", ".join(LUND_BROWDER["5"])),
    ],
)  # fmt: skip
def test_one_way_is_given_and_its_regions_are_the_charts(inputs, field, words):
    with pytest.raises(BadInput) as caught:
        outcome(**inputs)
    assert (caught.value.field, caught.value.message) == (field, words)
