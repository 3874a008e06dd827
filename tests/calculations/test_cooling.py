"""The cooling model: shape, limits, round trips, and SciPy's root finder as outside reference."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations import cooling
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

AMBIENT = st.floats(-10, 35)
MASS = st.floats(10, 200)
FACTOR = st.floats(0.35, 2.0)
QUOTIENT = st.floats(0.2, 1.0)
HOURS = st.floats(0.01, 60)
quick = settings(max_examples=60, deadline=None)


def rectal_at(quotient: float, ambient: float) -> float:
    return ambient + quotient * (37.2 - ambient)


def hours(rectal: float, ambient: float, mass: float, factor: float) -> float:
    return float(cooling.hours_since_death(rectal, ambient, mass, factor).hours)


@quick
@given(HOURS, AMBIENT, MASS, FACTOR)
def test_forward_then_inverse_comes_back_within_a_millionth_of_an_hour(
    time: float, ambient: float, mass: float, factor: float
) -> None:
    rectal = float(cooling.rectal_after(time, ambient, mass, factor))
    found = cooling.hours_since_death(rectal, ambient, mass, factor)
    if found.has_estimate:
        assert float(found.hours) == pytest.approx(time, abs=1e-6)
    else:
        assert float(found.quotient) < cooling.SMALLEST_QUOTIENT


@quick
@given(QUOTIENT, AMBIENT, MASS, FACTOR)
def test_the_time_is_the_root_that_scipy_finds(
    quotient: float, ambient: float, mass: float, factor: float
) -> None:
    # Outside reference: Brent's method of SciPy on the formula as printed. Read here: who runs
    # other tests needs none of it.
    from scipy.optimize import brentq

    constant = -1.2815 * (factor * mass) ** -0.625 + 0.0284
    a, b = (1.25, 5) if ambient <= 23.2 else (1.11, 10)

    def off(time: float) -> float:
        return a * np.exp(constant * time) - (a - 1) * np.exp(b * constant * time) - quotient

    root = brentq(off, 0, 4000, xtol=1e-11) if quotient < 1 else 0.0
    found = float(cooling.hours_for_quotient(quotient, ambient, constant))
    # Near death the curve is flat and both are limited by the spacing of numbers.
    assert found == pytest.approx(root, abs=1e-6 if quotient < 0.999999 else 1e-3)


@quick
@given(st.tuples(QUOTIENT, QUOTIENT), AMBIENT, MASS, FACTOR)
def test_a_colder_body_has_been_dead_longer(
    quotients: tuple[float, float], ambient: float, mass: float, factor: float
) -> None:
    low, high = sorted(quotients)
    colder = hours(rectal_at(low + 1e-12, ambient), ambient, mass, factor)
    warmer = hours(rectal_at(high, ambient), ambient, mass, factor)
    # The inverse is exact to 1e-6 h (checked by the round trip); equal readings may differ by less.
    assert colder >= warmer - 1e-6 or np.isnan(colder) or np.isnan(warmer)


@quick
@given(QUOTIENT, AMBIENT, st.tuples(MASS, MASS), FACTOR)
def test_a_heavier_body_takes_longer_for_the_same_cooling(
    quotient: float, ambient: float, masses: tuple[float, float], factor: float
) -> None:
    light, heavy = sorted(masses)
    constants = [cooling.cooling_constant(mass, factor) for mass in (light, heavy)]
    times = [float(cooling.hours_for_quotient(quotient, ambient, one)) for one in constants]
    assert times[0] <= times[1] + 1e-9


@quick
@given(st.floats(24, 37), st.tuples(st.floats(-10, 23.2), st.floats(-10, 23.2)), MASS)
def test_a_warmer_ambient_means_a_longer_time_on_one_curve(
    rectal: float, ambients: tuple[float, float], mass: float
) -> None:
    cool, warm = sorted(ambients)
    times = [hours(rectal, ambient, mass, 1.0) for ambient in (cool, warm)]
    assert np.isnan(times).any() or times[0] <= times[1] + 1e-9


def test_mass_and_factor_count_only_as_their_product() -> None:
    assert hours(27, 15, 80, 1.2) == pytest.approx(hours(27, 15, 96, 1.0), abs=1e-9)


def test_ten_thousand_readings_at_once_equal_the_single_ones() -> None:
    numbers = np.random.default_rng(5)
    ambient = numbers.uniform(-10, 35, 10_000)
    rectal = ambient + numbers.uniform(-0.1, 1.1, 10_000) * (37.2 - ambient)
    mass, factor = numbers.uniform(10, 200, 10_000), numbers.uniform(0.35, 2.6, 10_000)

    many = cooling.hours_since_death(rectal, ambient, mass, factor)

    assert many.hours.shape == (10_000,)
    assert np.array_equal(np.isfinite(many.hours), many.has_estimate)
    for index in range(0, 10_000, 97):
        one = calculate(
            "pmi_rectal",
            {
                "rectal_C": float(rectal[index]),
                "ambient_C": float(ambient[index]),
                "mass_kg": float(mass[index]),
                "corrective_factor": float(factor[index]),
            },
        )
        assert one.is_refused != many.has_estimate[index]
        if not one.is_refused:
            assert one.outcome.fields["t_h"] == pytest.approx(many.hours[index], rel=1e-9)
            assert one.outcome.fields["high_h"] == pytest.approx(many.high[index], rel=1e-9)


@pytest.mark.parametrize(
    ("quotient", "factor", "band"),
    [(0.501, 1.0, 2.8), (0.5, 1.0, 3.2), (0.3, 1.0, 4.5), (0.2, 1.0, 4.5), (0.501, 1.1, 2.8),
     (0.5, 1.1, 4.5), (0.3, 0.7, 7.0)],
)  # fmt: skip
def test_the_band_widens_with_the_phase_of_cooling(
    quotient: float, factor: float, band: float
) -> None:
    # 95 % bands from memory of Henssge 1988; the wider one at exactly 0.5 and 0.3 is our choice.
    assert float(cooling.band95_h(quotient, factor)) == band


@pytest.mark.parametrize("ambient", [17.2, 7.2, 2.2, 12.7, 22.1])
def test_a_quotient_on_a_limit_belongs_to_it_in_binary_numbers_too(ambient: float) -> None:
    for quotient, band in ((0.5, 3.2), (0.3, 4.5), (0.2, 4.5)):
        rectal = round(rectal_at(quotient, ambient), 6)
        found = cooling.hours_since_death(rectal, ambient, 70, 1.0)
        assert float(found.band95) == band


@quick
@given(
    st.floats(-5, 37.2), st.tuples(st.floats(-10, 34), st.floats(-10, 34)), MASS, st.floats(0, 1)
)
def test_an_ambient_range_holds_every_estimate_inside_it(
    rectal: float, ambients: tuple[float, float], mass: float, share: float
) -> None:
    low, high = sorted(ambients)
    inside = low + share * (high - low)
    whole = calculate(
        "pmi_rectal", {"rectal_C": rectal, "ambient_C": [low, high], "mass_kg": mass}
    ).outcome
    one = calculate(
        "pmi_rectal", {"rectal_C": rectal, "ambient_C": inside, "mass_kg": mass}
    ).outcome
    if whole.reason is None:
        assert one.reason is None
        assert whole.fields["low_h"] <= one.fields["low_h"] + 1e-9
        assert whole.fields["high_h"] >= one.fields["high_h"] - 1e-9
    elif "minimum_h" in whole.fields and one.reason is None:
        assert whole.fields["minimum_h"] <= one.fields["low_h"] + 1e-9


def test_a_range_across_the_change_of_curve_takes_in_both_curves() -> None:
    found = calculate(
        "pmi_rectal", {"rectal_C": 30.0, "ambient_C": [23.0, 23.4], "mass_kg": 70}
    ).outcome.fields
    assert found["t_range_h"][0] == pytest.approx(hours(30, 23.2 + 1e-12, 70, 1), abs=1e-6)
    assert found["t_range_h"][1] == pytest.approx(hours(30, 23.2, 70, 1), abs=1e-6)


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"rectal_C": 36.0, "ambient_C": 37.2}, "does not cool"),
        ({"rectal_C": 37.3, "ambient_C": 20}, "above 37.2"),
        ({"rectal_C": 19.9, "ambient_C": 20}, "below ambient"),
        ({"rectal_C": 30.0, "ambient_C": 20, "corrective_factor": 7}, "443.6"),
        ({"rectal_C": 20.0, "ambient_C": [18, 20]}, "only a minimum"),
        ({"rectal_C": 20.0, "ambient_C": [18, 22]}, "below ambient"),
    ],
)
def test_a_reading_outside_the_model_is_refused_with_its_reason(
    inputs: dict[str, object], words: str
) -> None:
    outcome = calculate("pmi_rectal", {"mass_kg": 70, **inputs}).outcome
    assert words in (outcome.reason or "")
    assert outcome.value is None


def test_a_mass_or_factor_near_nothing_names_its_field() -> None:
    for name in ("mass_kg", "corrective_factor"):
        with pytest.raises(BadInput) as caught:
            calculate("pmi_rectal", {"rectal_C": 30, "ambient_C": 20, "mass_kg": 70, name: 1e-309})
        assert caught.value.field == name


def test_a_large_factor_warns_that_its_weight_dependence_is_not_computed() -> None:
    inputs = {"rectal_C": 30.0, "ambient_C": 20.0, "corrective_factor": 1.8}
    light, standard = (calculate("pmi_rectal", {**inputs, "mass_kg": kg}) for kg in (110, 70))
    assert any("70 kg" in warning for warning in light.outcome.warnings)
    assert standard.outcome.warnings == ()


def test_the_curve_for_the_plot_is_the_model_read_forward() -> None:
    found = calculate(
        "cooling_forward", {"ambient_C": 18, "mass_kg": 70, "hours": 20, "step_h": 10}
    ).outcome.fields["curve"]
    # 30.735 C after 10 h: computed from the published formula.
    assert [point["t_h"] for point in found] == [0, 10, 20]
    assert found[0]["rectal_C"] == 37.2
    assert found[1]["rectal_C"] == pytest.approx(30.735, abs=0.0005)
    assert (found[1]["low_h"], found[1]["high_h"]) == (7.2, 12.8)
