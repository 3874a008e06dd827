"""Readings in other units: both ways of every factor, every refusal.

Factors: international yard and pound agreement of 1959 (1 in = 2.54 cm, 1 lb = 0.45359237 kg).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from me_office.units import Measured, WrongUnit, parsed, split, units_for, with_kept_units

FIELDS = {"temperature": ("°C", 1), "weight": ("kg", 2)}


@pytest.mark.parametrize(
    ("read", "kept", "places", "value", "said"),
    [
        ("98.6 °F", "°C", 1, "37.0", "98.6 °F"),
        ("32 °F", "°C", 1, "0.0", "32 °F"),
        ("-40 °F", "°C", 1, "-40.0", "-40 °F"),
        ("10 in", "cm", 1, "25.4", "10 in"),
        ("10 in", "cm", 0, "25", "10 in"),
        ("100 lb", "kg", 2, "45.36", "100 lb"),
        ("18 months", "years", 3, "1.500", "18 months"),
        ("1461 days", "years", 3, "4.000", "1461 days"),
        ("8766 hours", "years", 3, "1.000", "8766 hours"),
        ("525960 minutes", "years", 3, "1.000", "525960 minutes"),
        ("37.25 °C", "°C", 1, "37.25", ""),
        ("  70.50 lb ", "kg", 2, "31.98", "70.5 lb"),
        ("70kg", "kg", 2, "70", ""),
    ],
)
def test_a_reading_becomes_the_kept_unit_and_stays_as_read(read, kept, places, value, said):
    measured = parsed(read, kept=kept, places=places)
    assert type(measured) is Measured
    assert (str(Decimal(measured)), measured.read) == (value, said)


@pytest.mark.parametrize(
    ("read", "kept", "words"),
    [
        ("98.6", "°C", "Write a number and its unit: °C or °F."),
        ("98", "°C", "Write a number and its unit: °C or °F."),
        ("warm", "years",
         "Write a number and its unit: years or months or days or hours or minutes."),
        ("1 2 kg", "kg", "Write a number and its unit: kg or lb."),
        ("", "kg", "Write a number and its unit: kg or lb."),
        ("12 stone", "kg", "The unit is kg or lb."),
        ("12 in", "kg", "The unit is kg or lb."),
        ("9" * 40 + " lb", "kg", "This number is too large."),
    ],
)  # fmt: skip
def test_what_is_no_reading_is_refused(read, kept, words):
    with pytest.raises(WrongUnit) as refused:
        parsed(read, kept=kept, places=2)
    assert str(refused.value) == words


def test_the_kept_unit_stands_first():
    assert units_for("cm") == ["cm", "in"]


def test_a_reading_is_taken_apart_at_its_first_blank():
    assert split("98.6 °F") == ("98.6", "°F")
    assert split("6 ft 2") == ("6", "ft 2")
    assert split("98.6") == ("98.6", "")


D = Decimal


@pytest.mark.parametrize(
    ("entry", "said", "wrong"),
    [
        ({}, {}, {}),
        ({"note": "cold"}, {"note": "cold"}, {}),
        ({"temperature": D(20)}, {"temperature": D(20), "temperature_read": ""}, {}),
        (
            {"temperature": D(20), "temperature_read": None},
            {"temperature": D(20), "temperature_read": ""}, {},
        ),
        (
            {"temperature": D(20), "temperature_read": "  "},
            {"temperature": D(20), "temperature_read": ""}, {},
        ),
        (
            {"temperature_read": "98.6 °F"},
            {"temperature": D("37.0"), "temperature_read": "98.6 °F"}, {},
        ),
        (
            {"temperature": "", "temperature_read": "98.6 °F"},
            {"temperature": D("37.0"), "temperature_read": "98.6 °F"}, {},
        ),
        (
            {"temperature": None, "temperature_read": "20 °C"},
            {"temperature": D(20), "temperature_read": ""}, {},
        ),
        (
            {"temperature": "37.1", "temperature_read": "98.6 °F"},  # one step is rounding
            {"temperature": D("37.0"), "temperature_read": "98.6 °F"}, {},
        ),
        (
            {"temperature": 36.9, "temperature_read": "98.6 °F"},
            {"temperature": D("37.0"), "temperature_read": "98.6 °F"}, {},
        ),
        (
            {"temperature": "37.2", "temperature_read": "98.6 °F"}, None,
            {"temperature": "98.6 °F is 37 °C, not 37.2."},
        ),
        (
            {"temperature": 36.8, "temperature_read": "98.6 °F"}, None,
            {"temperature": "98.6 °F is 37 °C, not 36.8."},
        ),
        (
            {"temperature_read": "warm"}, None,
            {"temperature": "Write a number and its unit: °C or °F."},
        ),
        (
            {"temperature_read": "warm", "weight_read": "100 lb"}, None,
            {"temperature": "Write a number and its unit: °C or °F."},
        ),
        (
            {"temperature": 9, "temperature_read": "98.6 °F", "weight_read": "1 stone"}, None,
            {"temperature": "98.6 °F is 37 °C, not 9.", "weight": "The unit is kg or lb."},
        ),
        (
            {"temperature": 20, "weight_read": "100 lb"},
            {"temperature": 20, "temperature_read": "", "weight": D("45.36"),
             "weight_read": "100 lb"}, {},
        ),
    ],
)  # fmt: skip
def test_an_entry_keeps_its_units_and_says_what_does_not_agree(entry, said, wrong):
    before = dict(entry)
    found, refused = with_kept_units(entry, FIELDS)
    assert refused == wrong
    assert entry == before
    if said is not None:
        assert found == said
        assert all(type(value) is not Measured for value in found.values())
    if "weight_read" in entry and "weight" not in wrong:
        assert found["weight"] == D("45.36")
