"""Body size, growth standards and burned area: units, limits, symmetry, published medians."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations import body_size
from findings.calculations.burn_tables import LUND_BROWDER, RULE_OF_NINES, age_column, column_of
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

HEIGHT, MASS = st.floats(40, 220), st.floats(2, 250)
quick = settings(max_examples=60, deadline=None)
FORMULAE = (body_size.du_bois_m2, body_size.mosteller_m2, body_size.haycock_m2)


@quick
@given(HEIGHT, MASS, st.floats(1.01, 1.5))
def test_a_larger_body_has_more_surface(height: float, mass: float, more: float) -> None:
    for formula in FORMULAE:
        assert formula(height * more, mass) > formula(height, mass)
        assert formula(height, mass * more) > formula(height, mass)


@quick
@given(st.floats(0.45, 2.0), st.floats(2, 200))
def test_the_index_is_kilograms_over_square_meters(height_m: float, mass: float) -> None:
    found = body_size.body_mass_index(height_m * 100, mass)
    assert found == pytest.approx(mass / height_m**2, rel=1e-12)


def z(sex: str, days: int, length_cm: float, mass_kg: float) -> dict[str, float]:
    return calculate(
        "body_size", {"sex": sex, "age_days": days, "height_cm": length_cm, "mass_kg": mass_kg}
    ).outcome.fields


# WHO weight-for-age of girls, L M S at birth: 0.3809, 3.2322, 0.14171, as reprinted from
# tab_wfa_girls_p_0_5.txt in the R package fdapace. Length of girls at birth: median 49.1 cm, SD
# 1.9 cm; boys 49.9 cm and 3.3 kg (WHO 2006, printed to one decimal, from memory).
GIRL_L, GIRL_M, GIRL_S = 0.3809, 3.2322, 0.14171


@pytest.mark.parametrize("expected", [-2, -1, 0, 1, 2])
def test_weight_for_age_follows_the_published_lms_values(expected: int) -> None:
    mass = GIRL_M * (1 + GIRL_L * GIRL_S * expected) ** (1 / GIRL_L)
    found = z("female", 0, 49.1, mass)["weight_for_age_z"]
    assert found == pytest.approx(expected, abs=0.001)


OTHER_PACKAGE = json.loads(Path(__file__).with_name("growth_z.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", OTHER_PACKAGE["rows"], ids=lambda row: f"{row[0]} {row[1]} days")
def test_growth_values_are_those_of_another_package(row: list[Any]) -> None:
    # Outside reference: pygrowup2 1.0.0, which prints two decimals.
    sex, days, length_cm, mass_kg, *expected = row
    found = z(sex, days, length_cm, mass_kg)
    ours = [
        found[f"{name}_z"] for name in ("length_for_age", "weight_for_age", "weight_for_length")
    ]
    assert ours == pytest.approx(expected, abs=0.0051)


def test_length_for_age_at_birth_is_at_the_published_median() -> None:
    assert z("female", 0, 49.1, 3.2)["length_for_age_z"] == pytest.approx(0, abs=0.05)
    assert z("male", 0, 49.9, 3.3)["length_for_age_z"] == pytest.approx(0, abs=0.05)


def test_a_lying_child_of_two_is_compared_as_if_standing() -> None:
    # WHO 2006: standing height is 0.7 cm less than lying length; the tables change at two years.
    before, *after = (z("male", day, 87.8, 12.2) for day in (729, 730, 731, 732))
    for name in ("length_for_age_z", "weight_for_length_z", "bmi_for_age_z"):
        for found in after:
            assert found[name] == pytest.approx(before[name], abs=0.05), name


@quick
@given(st.integers(0, 1826), st.floats(45, 120), st.floats(2, 30), st.sampled_from(["male"]))
def test_a_heavier_child_of_the_same_age_stands_higher(
    days: int, length: float, mass: float, sex: str
) -> None:
    lighter, heavier = (z(sex, days, length, kg)["weight_for_age_z"] for kg in (mass, mass + 1))
    assert lighter < heavier


def test_growth_is_left_out_after_five_years_with_a_warning() -> None:
    asked = {"sex": "male", "height_cm": 110, "mass_kg": 18}
    within = calculate("body_size", {**asked, "age_days": 1826}).outcome
    assert "weight_for_age_z" in within.fields
    assert within.warnings == ()
    outcome = calculate("body_size", {**asked, "age_days": 1827}).outcome
    assert not [name for name in outcome.fields if name.endswith("_z")]
    assert outcome.warnings == (
        "older than five years: the WHO Child Growth Standards do not apply",
    )


@pytest.mark.parametrize(
    ("given", "missing"), [({"sex": "male"}, "age_days"), ({"age_days": 40}, "sex")]
)
def test_growth_needs_both_sex_and_age(given: dict[str, object], missing: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("body_size", {**given, "height_cm": 110, "mass_kg": 18})
    assert (caught.value.field, caught.value.message) == (
        missing,
        "is required for the growth standards, with sex and age_days",
    )


def test_the_whole_answer_of_one_body() -> None:
    # Worked by hand from the formulae as printed: Du Bois and Du Bois 1916, Mosteller 1987,
    # Haycock et al. 1978.
    outcome = calculate("body_size", {"height_cm": 170, "mass_kg": 70}).outcome
    assert outcome.fields == {
        "dubois_m2": pytest.approx(0.007184 * 170**0.725 * 70**0.425),
        "mosteller_m2": pytest.approx((170 * 70) ** 0.5 / 60),
        "haycock_m2": pytest.approx(0.024265 * 170**0.3964 * 70**0.5378),
        "bmi": 24.22,
    }
    assert outcome.fields["dubois_m2"] == pytest.approx(1.81, abs=0.005)
    assert (outcome.unit, outcome.warnings) == ("m2; kg/m2", ())


@pytest.mark.parametrize("age", list(LUND_BROWDER))
def test_each_chart_column_is_a_whole_and_symmetric_body(age: str) -> None:
    shares = column_of(age)
    assert shares == LUND_BROWDER[age]
    assert sum(shares.values()) == pytest.approx(100, abs=1e-9)
    for region, share in shares.items():
        if region.startswith("right_"):
            assert shares["left_" + region.removeprefix("right_")] == share


def test_the_rule_of_nines_is_a_whole_body() -> None:
    assert sum(RULE_OF_NINES.values()) == 100


@pytest.mark.parametrize(
    ("years", "column"),
    [(0, "0"), (0.9, "0"), (1, "1"), (4, "1"), (5, "5"), (9.9, "5"), (10, "10"), (14, "10"),
     (15, "15"), (16, "adult"), (80, "adult")],
)  # fmt: skip
def test_an_age_takes_the_column_of_its_band(years: float, column: str) -> None:
    # Printed charts: 0-1, 1-4, 5-9, 10-14, 15, adult. From 16 'adult' is common practice.
    assert age_column(years) == column


@quick
@given(
    st.sampled_from(list(LUND_BROWDER)),
    st.dictionaries(st.sampled_from(list(LUND_BROWDER["adult"])), st.floats(0, 1)),
)
def test_a_burned_share_lies_between_nothing_and_everything(
    age: str, fractions: dict[str, float]
) -> None:
    if not fractions:
        return
    inputs = {"chart": "Lund-Browder", "age": age, "fraction_burned": fractions}
    percent = calculate("burn_area", inputs).outcome.value
    assert 0 <= percent <= 100 + 1e-9
    full = {**inputs, "fraction_burned": dict.fromkeys(fractions, 1.0)}
    assert percent <= calculate("burn_area", full).outcome.value + 1e-9


def test_the_rule_of_nines_is_refused_in_a_child() -> None:
    outcome = calculate(
        "burn_area",
        {"chart": "rule of nines", "age": "6", "fraction_burned": {"trunk_front": 1}},
    ).outcome
    assert "adults" in (outcome.reason or "")


def test_an_age_may_be_sent_as_a_number() -> None:
    inputs = {"chart": "Lund-Browder", "fraction_burned": {"head_front": 1}}
    for age in (7, "7"):
        fields = calculate("burn_area", {**inputs, "age": age}).outcome.fields
        assert (fields["tbsa_percent"], fields["age_column"]) == (6.5, "5")


def test_charted_areas_are_summed_and_more_than_the_body_is_refused() -> None:
    assert calculate("burn_area", {"charted_percent": [4.5, 3.25]}).outcome.value == 7.75
    assert calculate("burn_area", {"charted_percent": [60, 41]}).is_refused


def test_palms_without_fingers_count_half() -> None:
    # Common practice: palm with fingers about 1 %, without about 0.5 %.
    inputs = {"palm_count": 7, "with_fingers": False}
    assert calculate("body_surface", inputs).outcome.value == 3.5


BURNED = {"chart": "rule of nines", "fraction_burned": {"trunk_front": 1}}
SIZE = {"height_cm": 170, "mass_kg": 70}


def test_body_surface_gives_the_size_or_the_burn() -> None:
    for name, inputs in (("body_size", SIZE), ("burn_area", BURNED)):
        assert calculate("body_surface", inputs).outcome == calculate(name, inputs).outcome


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({**SIZE, **BURNED}, "chart", "give either height and mass, or a burned area"),
        ({"mass_kg": 70, "palm_count": 2}, "palm_count",
         "give either height and mass, or a burned area"),
        ({}, "height_cm", "is required, or a burned area"),
        ({"mass_kg": 70}, "height_cm", "is required, or a burned area"),
        ({"height_cm": 170}, "mass_kg", "is required, or a burned area"),
    ],
)  # fmt: skip
def test_body_surface_needs_one_of_the_two_whole(
    inputs: dict[str, object], field: str, words: str
) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("body_surface", inputs)
    assert (caught.value.field, caught.value.message) == (field, words)


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"chart": "Lund-Browder", "fraction_burned": {"trunk_front": 1}}, "age"),
        ({"chart": "Lund-Browder", "age": "old", "fraction_burned": {"trunk_front": 1}}, "age"),
        ({"chart": "rule of nines", "fraction_burned": {"tail": 1}}, "fraction_burned.tail"),
        ({"chart": "rule of nines", "fraction_burned": {"trunk_front": 2}},
         "fraction_burned.trunk_front"),
        ({"fraction_burned": {"trunk_front": 1}}, "chart"),
        ({"palm_count": 3, "charted_percent": [1]}, "charted_percent"),
        ({}, "fraction_burned"),
    ],
)  # fmt: skip
def test_a_wrong_field_is_named(inputs: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("burn_area", inputs)
    assert caught.value.field == field
