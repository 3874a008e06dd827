"""The cooling methods row by row: warnings, refusals and both sides of every limit.

Ranges: as the methods name them (Henssge 1981, 1988, 1992; partly from memory, source not
checked). Numbers: the published formula written out again with the standard library.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from findings.calculations import cooling, pmi_rectal
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate
from findings.calculations.result import Interval, Outcome

BODY = {"rectal_C": 30.0, "ambient_C": 18.0, "mass_kg": 70}


def outcome(method="pmi_rectal", **inputs):
    return calculate(method, inputs).outcome


def constant(mass, factor=1.0):
    return -1.2815 * (factor * mass) ** -0.625 + 0.0284


def quotient(hours, ambient, mass, factor=1.0):
    a, b = (1.25, 5) if ambient <= 23.2 else (1.11, 10)
    rate = constant(mass, factor)
    return a * math.exp(rate * hours) - (a - 1) * math.exp(b * rate * hours)


@pytest.mark.parametrize("ambient", [-10.0, 18.0, 23.2, 23.200001, 30.0])
@pytest.mark.parametrize("hours", [0.0, 0.5, 4.0, 12.0])
def test_the_curve_read_forward_is_the_printed_formula(ambient, hours):
    found = outcome(ambient_C=ambient, mass_kg=80, corrective_factor=1.2, forward=True, t_h=hours)
    share = quotient(hours, ambient, 80, 1.2)
    rectal = ambient + share * (37.2 - ambient)
    assert found.value == found.fields["rectal_C"] == pytest.approx(rectal, abs=1e-9)
    assert found.fields["Q"] == pytest.approx(share, abs=1e-9)
    assert found.fields["B"] == pytest.approx(constant(80, 1.2), abs=1e-12)
    assert (found.unit, found.warnings) == ("C", ())
    points = outcome(
        "cooling_forward", ambient_C=ambient, mass_kg=80, corrective_factor=1.2, hours=12,
        step_h=0.5,
    )  # fmt: skip
    point = points.fields["curve"][round(hours * 2)]
    assert point["t_h"] == hours
    assert point["rectal_C"] == pytest.approx(rectal, abs=1e-9)
    assert point["Q"] == pytest.approx(share, abs=1e-9)
    assert (points.unit, points.fields["B"]) == ("C", pytest.approx(constant(80, 1.2), abs=1e-12))


def test_a_curve_has_its_points_its_default_length_and_a_band_while_one_was_published():
    whole = outcome("cooling_forward", ambient_C=10, mass_kg=10).fields["curve"]
    assert [point["t_h"] for point in whole] == [n / 2 for n in range(73)]
    for point in whole:
        if point["Q"] < 0.2:
            assert (point["low_h"], point["high_h"]) == (None, None)
        else:
            band = 2.8 if point["Q"] > 0.5 else 3.2 if point["Q"] > 0.3 else 4.5
            assert point["low_h"] == max(point["t_h"] - band, 0)
            assert point["high_h"] == point["t_h"] + band
    assert whole[-1]["low_h"] is None
    covered = outcome("cooling_forward", ambient_C=10, mass_kg=70, corrective_factor=1.3)
    assert {round(p["high_h"] - p["t_h"], 6) for p in covered.fields["curve"] if p["high_h"]} == {
        2.8, 4.5, 7.0,
    }  # fmt: skip


def test_a_curve_has_two_thousand_points_at_most():
    asked = {"ambient_C": 10, "mass_kg": 70, "hours": 200}
    assert len(outcome("cooling_forward", **asked, step_h=0.1).fields["curve"]) == 2001
    with pytest.raises(BadInput) as caught:
        outcome("cooling_forward", **{**asked, "hours": 201}, step_h=0.1)
    assert (caught.value.field, caught.value.message) == (
        "step_h",
        "is too small: not more than 2000 points",
    )


@pytest.mark.parametrize(
    ("hours", "times"),
    [(1, [0, 0.5, 1]), (1.2, [0, 0.5, 1]), (1.3, [0, 0.5, 1, 1.5]), (1.4, [0, 0.5, 1, 1.5])],
)
def test_a_curve_ends_at_the_point_nearest_to_its_length(hours, times):
    curve = outcome("cooling_forward", ambient_C=10, mass_kg=70, hours=hours).fields["curve"]
    assert [point["t_h"] for point in curve] == times


def test_a_mass_without_a_curve_says_its_constant():
    found = outcome("cooling_forward", ambient_C=20, mass_kg=444)
    assert found.fields["B"] == pytest.approx(constant(444))
    assert found.fields["B"] > 0


WARM = "ambient at or above 37.2 °C: the body does not cool"
HEAVY = "corrected mass above 443.6 kg: "
NO_CURVE = HEAVY + "the cooling constant B is not negative, so the model has no curve"


@pytest.mark.parametrize(
    ("method", "inputs", "reason"),
    [
        ("cooling_forward", {"ambient_C": 37.2, "mass_kg": 70}, WARM),
        ("cooling_forward", {"ambient_C": 20, "mass_kg": 444}, HEAVY + "the model has no curve"),
        ("cooling_forward", {"ambient_C": 37.19, "mass_kg": 443.6}, None),
        ("pmi_rectal", {**BODY, "ambient_C": 37.2, "rectal_C": 37.2}, WARM),
        ("pmi_rectal", {**BODY, "ambient_C": 37.1, "rectal_C": 37.2}, None),
        ("pmi_rectal", {**BODY, "rectal_C": 37.2}, None),
        ("pmi_rectal", {**BODY, "rectal_C": 37.21},
         "rectal temperature above 37.2 °C: warmer than the model starts (Q above 1)"),
        ("pmi_rectal", {**BODY, "mass_kg": 444}, NO_CURVE),
        ("pmi_rectal", {**BODY, "mass_kg": 443.6}, None),
        ("pmi_rectal", {**BODY, "rectal_C": 17.99},
         "rectal below ambient temperature: a reading is wrong or the ambient has changed"),
        ("pmi_rectal", {**BODY, "rectal_C": 18.0},
         "body at ambient temperature: there is no upper limit, only a minimum can be given"),
        ("pmi_rectal", {**BODY, "rectal_C": 18.01},
         "Q below 0.2: no band was published for this phase; the hours of the formula are not "
         "an estimate, only a minimum can be given"),
        ("pmi_rectal", {**BODY, "rectal_C": 21.84}, None),
        ("pmi_rectal", {**BODY, "ambient_C": [17, 37.2]},
         "inside the ambient range: " + WARM),
        ("pmi_rectal", {**BODY, "rectal_C": 34.5, "ambient_C": [34, 37.2]},
         "inside the ambient range: " + WARM),
        ("pmi_rectal", {**BODY, "rectal_C": 21.84, "ambient_C": [18, 19]},
         "Q below 0.2 for part of the ambient range: there is no upper limit, only a minimum "
         "can be given"),
        ("pmi_rectal", {**BODY, "ambient_C": 20, "mass_kg": 444, "rectal_C": None,
                        "forward": True, "t_h": 1}, NO_CURVE),
    ],
)  # fmt: skip
def test_what_the_model_has_no_answer_for_is_said(method, inputs, reason):
    found = outcome(method, **{name: one for name, one in inputs.items() if one is not None})
    assert found.reason == reason


MASS = "body mass outside the nomogram range 10-200 kg (range from memory)"
AMBIENT = "ambient outside the nomogram range -10 to 35 °C (range from memory)"
FACTOR = "corrective factor outside the published range 0.35 to 2.4"
WEIGHT = (
    "corrective factors of about 1.4 and more hold for 70 kg; their dependence on body "
    "weight is not computed here, so adapt the factor from the published table"
)


@pytest.mark.parametrize(
    ("inputs", "warnings"),
    [
        ({}, ()),
        ({"mass_kg": 10}, ()),
        ({"mass_kg": 9.9}, (MASS,)),
        ({"mass_kg": 200}, ()),
        ({"mass_kg": 200.1}, (MASS,)),
        ({"ambient_C": -10}, ()),
        ({"ambient_C": -10.1}, (AMBIENT,)),
        ({"ambient_C": 35, "rectal_C": 36.5}, ()),
        ({"ambient_C": 35.1, "rectal_C": 36.5}, (AMBIENT,)),
        ({"ambient_C": [-10.1, 18]}, (AMBIENT,)),
        ({"ambient_C": [20, 35.1], "rectal_C": 36.5}, (AMBIENT,)),
        ({"corrective_factor": 0.35}, ()),
        ({"corrective_factor": 0.34}, (FACTOR,)),
        ({"corrective_factor": 2.4}, ()),
        ({"corrective_factor": 2.41}, (FACTOR,)),
        ({"corrective_factor": 1.39, "mass_kg": 71}, ()),
        ({"corrective_factor": 1.4, "mass_kg": 71}, (WEIGHT,)),
        ({"corrective_factor": 1.4, "mass_kg": 70}, ()),
        ({"corrective_factor": 3, "mass_kg": 9, "ambient_C": -11},
         (MASS, AMBIENT, FACTOR, WEIGHT)),
    ],
)  # fmt: skip
def test_what_lies_outside_the_ranges_is_warned_of(inputs, warnings):
    assert outcome(**{**BODY, **inputs}).warnings == warnings


def test_the_whole_answer_of_one_reading():
    found = outcome(**BODY)
    hours = found.value
    assert quotient(hours, 18, 70) == pytest.approx(12 / 19.2, abs=1e-9)
    assert found.fields == {
        "Q": pytest.approx(12 / 19.2),
        "B": pytest.approx(constant(70)),
        "t_h": hours,
        "estimate": hours,
        "band95_h": 2.8,
        "low_h": pytest.approx(hours - 2.8),
        "high_h": pytest.approx(hours + 2.8),
    }
    assert found.interval == Interval(
        found.fields["low_h"], found.fields["high_h"], "95 % (bands from memory)"
    )
    assert (found.unit, found.notes) == ("h", ())
    fresh = outcome(**{**BODY, "rectal_C": 37.0})
    assert fresh.fields["low_h"] == 0
    assert fresh.notes == ("lower end cut at 0",)


def test_below_the_last_phase_only_a_minimum_is_given():
    found = outcome(**{**BODY, "rectal_C": 20.0}).fields
    assert quotient(found["minimum_h_at_Q_0_2"], 18, 70) == pytest.approx(0.2, abs=1e-9)
    assert quotient(found["t_h"], 18, 70) == pytest.approx(2 / 19.2, abs=1e-9)
    assert found["Q"] == pytest.approx(2 / 19.2)
    assert found["B"] == pytest.approx(constant(70))
    assert (found["band95_h"], found["low_h"], found["high_h"]) == (None, None, None)
    assert "t_h" not in outcome(**{**BODY, "rectal_C": 18.0}).fields


def test_an_ambient_range_answers_with_its_widest_ends():
    cold, warm = (outcome(**{**BODY, "ambient_C": one}).fields for one in (10, 20))
    found = outcome(**{**BODY, "ambient_C": [10, 20]})
    assert found.fields == {
        "t_h": None,
        "t_range_h": [cold["t_h"], warm["t_h"]],
        "B": pytest.approx(constant(70)),
        "band95_h": 2.8,
        "low_h": cold["low_h"],
        "high_h": warm["high_h"],
    } | {name: one for name, one in found.fields.items() if name == "estimate"}
    assert (found.value, found.unit) == (None, "h")
    assert found.interval == Interval(
        cold["low_h"], warm["high_h"], "95 % bands over the whole ambient range"
    )
    assert outcome(**{**BODY, "ambient_C": [18, 18]}).value == outcome(**BODY).value


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({**BODY, "forward": True, "t_h": 1}, "rectal_C",
         "is the result when reading the curve forward"),
        ({**BODY, "t_h": 1}, "t_h", "is the result unless 'forward' is true"),
        ({"ambient_C": [10, 20], "mass_kg": 70, "forward": True, "t_h": 1}, "ambient_C",
         "must be one number when reading the curve forward"),
    ],
)  # fmt: skip
def test_what_is_the_result_is_not_taken_as_input(inputs, field, words):
    with pytest.raises(BadInput) as caught:
        outcome(**inputs)
    assert (caught.value.field, caught.value.message) == (field, words)


def test_whole_numbers_and_arrays_are_read_as_numbers_of_one_shape():
    found = cooling.hours_since_death([30, 38, 17, 19], 18, 70, 1)
    assert found.has_estimate.tolist() == [True, False, False, False]
    for part in (found.hours, found.band95, found.low, found.high):
        assert np.isnan(part).tolist() == [False, True, True, True]
    assert found.quotient == pytest.approx([12 / 19.2, 20 / 19.2, -1 / 19.2, 1 / 19.2])
    assert found.constant == pytest.approx(np.full(4, constant(70)))
    assert found.high[0] - found.hours[0] == pytest.approx(2.8)
    assert found.hours[0] - found.low[0] == pytest.approx(2.8)
    # No estimate without a curve, nor where nothing cools.
    assert not cooling.hours_since_death(38, 37.2, 70, 1).has_estimate
    assert not cooling.hours_since_death(30, 18, 444, 1).has_estimate
    assert float(cooling.hours_since_death(37.2, 18, 70, 1).hours) == 0


def test_a_refusal_gives_what_is_plain_arithmetic_and_every_warning():
    thin = {"mass_kg": 9, "corrective_factor": 1.0}
    minimum = {"band95_h": None, "low_h": None, "high_h": None}
    for inputs, fields in (
        ({"rectal_C": 38.0, "ambient_C": 20.0},
         {"B": pytest.approx(constant(9)), "Q": pytest.approx(18 / 17.2)}),
        ({"rectal_C": 30.0, "ambient_C": 37.2}, {"B": pytest.approx(constant(9))}),
        ({"rectal_C": 27.0, "ambient_C": 26.0},
         {"B": pytest.approx(constant(9)), "Q": pytest.approx(1 / 11.2), **minimum}),
        ({"rectal_C": 26.0, "ambient_C": 26.0},
         {"B": pytest.approx(constant(9)), "Q": 0, **minimum}),
        ({"ambient_C": 37.2, "forward": True, "t_h": 1}, {"B": pytest.approx(constant(9))}),
    ):  # fmt: skip
        found = outcome(**inputs, **thin)
        times = {"t_h", "minimum_h_at_Q_0_2"}
        rest = {name: one for name, one in found.fields.items() if name not in times}
        assert rest == {"estimate": None, **fields}
        expected = [MASS] + [AMBIENT] * (inputs["ambient_C"] > 35)
        assert found.warnings == (() if "forward" in inputs else tuple(expected))
    forward = outcome(ambient_C=20, forward=True, t_h=1, **thin)
    assert forward.warnings == (MASS,)


def test_a_minimum_is_that_of_the_curve_of_its_ambient():
    # In a warm place the second curve holds: its 1.11 and tenfold exponent.
    found = outcome(rectal_C=27.0, ambient_C=26.0, mass_kg=70).fields
    assert quotient(found["minimum_h_at_Q_0_2"], 26, 70) == pytest.approx(0.2, abs=1e-9)
    assert quotient(found["t_h"], 26, 70) == pytest.approx(1 / 11.2, abs=1e-9)


@pytest.mark.parametrize("ambients", [(20.0, 23.2), (23.2, 26.0), (22.0, 25.0)])
@pytest.mark.parametrize("rectal", [36.0, 31.0, 28.5])
def test_a_range_at_the_change_of_curve_holds_its_own_ambients_and_no_other(ambients, rectal):
    beside = float(np.nextafter(23.2, 100))
    inside = [*np.linspace(*ambients, 7), 23.2, *([beside] if ambients[1] > 23.2 else [])]
    singles = [outcome(rectal_C=rectal, ambient_C=float(one), mass_kg=70).fields for one in inside]
    found = outcome(rectal_C=rectal, ambient_C=list(ambients), mass_kg=70).fields
    times = [one["t_h"] for one in singles]
    assert found["t_range_h"] == [min(times), max(times)]
    assert found["low_h"] == min(one["low_h"] for one in singles)
    assert found["high_h"] == max(one["high_h"] for one in singles)
    assert found["band95_h"] == max(one["band95_h"] for one in singles)


def test_a_refused_range_says_its_minimum_and_its_warnings():
    thin = {"mass_kg": 9, "rectal_C": 21.84}
    found = outcome(ambient_C=[18, 19], **thin)
    estimate = outcome(ambient_C=18, **thin).fields["low_h"]
    minimum = outcome(ambient_C=19, **thin).fields["minimum_h_at_Q_0_2"]
    assert found.fields == {
        "estimate": None, "low_h": None, "high_h": None, "minimum_h": min(estimate, minimum),
    }  # fmt: skip
    assert found.warnings == (MASS,)
    # A heavy body: the second curve reaches 0.2 before the first less its tolerance does.
    heavy = {"mass_kg": 200, "rectal_C": 25.85}
    low, beside = (outcome(ambient_C=one, **heavy).fields for one in (23, np.nextafter(23.2, 24)))
    assert beside["minimum_h_at_Q_0_2"] < low["low_h"]
    across = outcome(ambient_C=[23, 24], **heavy).fields["minimum_h"]
    assert across == pytest.approx(beside["minimum_h_at_Q_0_2"], abs=1e-9)
    warm = outcome(ambient_C=[17, 37.2], **thin)
    assert (warm.fields, warm.warnings) == ({"estimate": None}, (MASS, AMBIENT))


def test_hours_that_are_none_are_a_fault_of_the_method():
    with pytest.raises(TypeError, match=r"^low_h$"):
        pmi_rectal._hours(Outcome({"low_h": None}), "low_h")
