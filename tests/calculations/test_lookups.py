"""Organ weights, heart ratio, vitreous potassium, impacts and lividity: rules and limits."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations.fields import BadInput
from findings.calculations.impact_minimum import joined
from findings.calculations.organ_reference import ORGANS
from findings.calculations.registry import calculate
from findings.calculations.vitreous_potassium import LINES

quick = settings(max_examples=60, deadline=None)
MARKS = [f"mark {number}" for number in range(8)]
LINKS = st.lists(st.lists(st.sampled_from(MARKS), min_size=2, max_size=3, unique=True), max_size=8)


# Molina and DiMaio 2012: the only published interval is that of the heart of men, 233 to 383 g.
@pytest.mark.parametrize(
    ("grams", "place"), [(232, "below"), (233, "within"), (383, "within"), (384, "above")]
)
def test_a_weight_is_placed_only_in_a_published_interval(grams: float, place: str) -> None:
    inputs = {"sex": "male", "organ": "heart", "weight_g": grams}
    assert calculate("organ_weights", inputs).outcome.fields["reference95"] == place


@pytest.mark.parametrize("organ", [name for name in ORGANS["male"] if name != "heart"])
@pytest.mark.parametrize("sex", ["male", "female"])
def test_a_smallest_and_largest_weight_is_no_verdict(sex: str, organ: str) -> None:
    low, high = ORGANS[sex][organ].observed_g or (0, 0)
    for grams in (low - 1, (low + high) / 2, high + 1):
        found = calculate("organ_weights", {"sex": sex, "organ": organ, "weight_g": grams}).outcome
        assert found.interval is None
        assert found.fields["reference95"] is None
        assert "observed" not in found.fields
        assert found.fields["observed_g"] == [low, high]


def test_only_a_published_deviation_gives_a_z_value() -> None:
    for sex, rows in ORGANS.items():
        for organ, row in rows.items():
            found = calculate("organ_weights", {"sex": sex, "organ": organ, "weight_g": 300})
            if found.is_refused:
                continue
            assert (found.outcome.fields["z"] is not None) == (row.sd_g is not None)


def test_figures_that_could_not_be_confirmed_are_not_used() -> None:
    outcome = calculate(
        "organ_weights", {"sex": "female", "organ": "heart", "weight_g": 280}
    ).outcome
    assert "confirmed" in (outcome.reason or "")
    assert outcome.value is None


def test_a_child_has_no_adult_reference() -> None:
    outcome = calculate(
        "organ_weights", {"sex": "male", "organ": "liver", "weight_g": 900, "age_years": 12}
    ).outcome
    assert "children" in (outcome.reason or "")


def test_an_older_adult_warns_about_the_population() -> None:
    outcome = calculate(
        "organ_weights", {"sex": "male", "organ": "heart", "weight_g": 400, "age_years": 70}
    ).outcome
    assert any("older" in warning for warning in outcome.warnings)


def test_the_heart_ratio_is_the_published_one_and_gives_no_range() -> None:
    # Lucas 2011: 0.51 % of body weight, women and men, neither obese nor malnourished.
    outcome = calculate(
        "heart_for_body_weight", {"body_kg": 70, "height_cm": 175, "heart_g": 400}
    ).outcome
    assert outcome.value == pytest.approx(357)
    assert outcome.fields["difference_g"] == pytest.approx(43)
    assert outcome.interval is None


@pytest.mark.parametrize(
    "inputs",
    [
        {"body_kg": 120, "height_cm": 170},
        {"body_kg": 45, "height_cm": 175},
        {"body_kg": 45, "height_cm": 150, "age_years": 13},
    ],
)
def test_the_heart_ratio_is_refused_outside_its_population(inputs: dict[str, float]) -> None:
    assert calculate("heart_for_body_weight", inputs).is_refused


@quick
@given(st.sampled_from(list(LINES)), st.floats(0.5, 40), st.floats(0.01, 5))
def test_more_potassium_means_a_longer_time(name: str, potassium: float, more: float) -> None:
    times = [
        calculate("vitreous_potassium", {"potassium_mmol_L": k, "formula": name}).outcome.fields[
            "t_h"
        ]
        for k in (potassium, potassium + more)
    ]
    assert times[0] < times[1]
    # Forward and back: the line is inverted exactly.
    line = LINES[name]
    assert (times[0] + line.intercept) / line.slope == pytest.approx(potassium, rel=1e-9)


@quick
@given(st.floats(0.5, 40))
def test_all_formulae_stand_side_by_side_without_an_average(potassium: float) -> None:
    outcome = calculate("vitreous_potassium", {"potassium_mmol_L": potassium}).outcome
    assert outcome.value is None
    assert [row["formula"] for row in outcome.fields["formulae"]] == list(LINES)
    for row in outcome.fields["formulae"]:
        assert (row["estimate"] is None) == (not 0 <= row["t_h"] <= 120)


def test_the_wider_limits_of_madea_are_shown() -> None:
    # Madea and Rodig 2006: +-26 h on other cases, against +-19 h in 1989.
    found = calculate("vitreous_potassium", {"potassium_mmol_L": 12.0, "formula": "madea1989"})
    interval = found.outcome.interval
    assert interval is not None
    assert interval.high - found.outcome.value == pytest.approx(26)
    assert found.outcome.fields["stated_band95_h"] == 19


@pytest.mark.parametrize(
    ("given", "field"),
    [({"urea_mg_dL": 60}, "urea_analyte"), ({"urea_analyte": "urea"}, "urea_mg_dL")],
)
def test_a_value_of_urea_says_which_it_is(given: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("vitreous_potassium", {"potassium_mmol_L": 8, **given})
    assert caught.value.field == field


@quick
@given(LINKS, LINKS)
def test_the_number_of_impacts_is_that_of_connected_groups(
    overlapping: list[list[str]], one_blow: list[list[str]]
) -> None:
    inputs = {"marks": MARKS, "overlapping": overlapping, "possibly_one_blow": one_blow}
    found = calculate("impacts", inputs).outcome.value
    # A second way: labels spread along the links until nothing changes.
    label = {mark: number for number, mark in enumerate(MARKS)}
    for _ in MARKS:
        for link in overlapping + one_blow:
            smallest = min(label[mark] for mark in link)
            label.update(dict.fromkeys(link, smallest))
    assert found == len(set(label.values()))
    swapped = {**inputs, "marks": MARKS[::-1], "overlapping": one_blow, "possibly_one_blow": []}
    assert (
        calculate("impacts", {**swapped, "possibly_one_blow": overlapping}).outcome.value == found
    )


def test_groups_keep_the_order_of_their_first_mark() -> None:
    assert joined(["C", "A", "B"], [["B", "C"]]) == [["C", "B"], ["A"]]


def test_an_excluded_mark_joins_nothing() -> None:
    outcome = calculate(
        "impacts",
        {"marks": ["A", "N", "B"], "overlapping": [["A", "N"], ["N", "B"]], "excluded": ["N"]},
    ).outcome
    assert outcome.fields["wording"] == "at least 2"


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"marks": ["A", "A"]}, "marks"),
        ({"marks": ["A"], "overlapping": [["A", "B"]]}, "overlapping"),
        ({"marks": ["A"], "possibly_one_blow": [["A"]]}, "possibly_one_blow"),
        ({"marks": ["A"], "excluded": ["B"]}, "excluded"),
        ({}, "marks"),
    ],
)
def test_a_wrong_mark_is_named_by_its_field(inputs: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("impacts", inputs)
    assert caught.value.field == field


@pytest.mark.parametrize("fixed", [True, False, None])
@pytest.mark.parametrize("position", ["supine", "prone", "sitting", "hanging", "left side"])
def test_lividity_of_the_position_found_always_agrees(position: str, fixed: bool | None) -> None:
    outcome = calculate(
        "lividity_check",
        {"position_found": position, "lividity_matches": position, "fixed": fixed},
    ).outcome
    assert outcome.fields["consistent"] is True


def test_published_hours_overlap_and_are_given_as_ranges() -> None:
    for question in ("lividity hours", "rigor hours"):
        hours = calculate("lividity_rigor", {"question": question}).outcome.fields["hours"]
        assert all(0 < low < high for low, high in hours.values())
