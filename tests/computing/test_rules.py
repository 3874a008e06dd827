"""What of a calculation may be kept and shown: refusals with field and sentence, no hours."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from findings.calculations.fields import BadInput
from findings.computing import rules

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
INSTANT = timedelta(microseconds=1)


@pytest.mark.parametrize(
    ("message", "said"),
    [
        ("must be a number", "This must be a number."),
        ("is too large", "This is too large."),
        ("needs a unit", "This needs a unit."),
        ("leads nowhere", "This leads nowhere."),
        ("names nothing", "This names nothing."),
        ("must be between 1 and 2, of the body.", "This must be between 1 and 2, of the body."),
        ("missing is a value", "Missing is a value."),
        ("enter a weight", "Enter a weight."),
        ("Enter a weight...", "Enter a weight."),
        ("Enter factor X.", "Enter factor X."),
        ("island", "Island."),
        ("pH is kept", "PH is kept."),
        ("must", "This must."),
    ],
)
def test_a_complaint_becomes_a_sentence(message, said):
    assert rules.sentence(message) == said


def test_an_unknown_method_is_refused_beside_the_method():
    with pytest.raises(rules.Unusable) as refused:
        rules.run("guess", {})
    assert refused.value.field == "method"
    assert refused.value.message == str(refused.value)
    assert "guess" in refused.value.message


def test_a_bad_input_is_refused_beside_its_field(monkeypatch):
    given = {"mass_kg": "much"}

    def calculate(method, inputs):
        assert (method, inputs) == ("body_mass_index", given)
        raise BadInput("mass_kg", "must be a number")

    monkeypatch.setattr(rules, "find", lambda method: method)
    monkeypatch.setattr(rules, "calculate", calculate)
    with pytest.raises(rules.Unusable) as refused:
        rules.run("body_mass_index", given)
    assert (refused.value.field, refused.value.message) == ("mass_kg", "This must be a number.")
    assert str(refused.value) == "This must be a number."


def test_what_a_method_computes_is_handed_on(monkeypatch):
    monkeypatch.setattr(rules, "find", lambda method: {"any": 1}[method])
    monkeypatch.setattr(rules, "calculate", lambda method, inputs: (method, inputs))
    assert rules.run("any", {"a": 1}) == ("any", {"a": 1})


BEGINNING = datetime(1900, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize("at", [None, NOW, NOW - INSTANT, BEGINNING])
def test_a_measurement_of_the_past_is_taken(at):
    rules.check_measured_at(at, NOW)


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (NOW + INSTANT, "This time is in the future."),
        (BEGINNING - INSTANT, "This time is too far in the past."),
    ],
)
def test_a_measurement_to_come_or_long_before_anybody_is_refused(at, words):
    with pytest.raises(rules.Unusable) as refused:
        rules.check_measured_at(at, NOW)
    assert (refused.value.field, refused.value.message) == ("measured_at", words)


ROWS = [{"name": "one", "t_h": 5.0, "estimate": None}, {"name": "two", "t_h": 6.0, "estimate": 6.0},
        {"name": "three", "t_h": 7.0}, "a note"]  # fmt: skip
WITHOUT = [{"name": "one", "estimate": None}, ROWS[1], {"name": "three"}, "a note"]


@pytest.mark.parametrize(
    ("result", "shown"),
    [
        ({"t_h": 5.0, "reason": "too late", "k": 1}, {"reason": "too late", "k": 1}),
        ({"t_h": 5.0, "reason": "", "k": 1}, {"reason": "", "k": 1}),
        ({"t_h": 5.0, "reason": None, "k": 1}, {"t_h": 5.0, "reason": None, "k": 1}),
        ({"t_h": 5.0, "k": 1}, {"t_h": 5.0, "k": 1}),
        ({"formulae": ROWS, "reason": None}, {"formulae": WITHOUT, "reason": None}),
        ({"formulae": "none", "k": 1}, {"formulae": "none", "k": 1}),
        ({"formulae": None}, {"formulae": None}),
    ],
)
def test_hours_that_are_no_estimate_are_not_shown(result, shown):
    assert rules.without_hours_that_are_no_estimate(result) == shown
