"""The time line row by row: windows, their ends, what is said of them, both sides of each limit.

Worked by hand: intersections of intervals on the clock.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate
from findings.calculations.result import Interval
from findings.calculations.time_since_death import Window, are_apart, contradictions, intersection

NOON = datetime(2026, 3, 2, 12, 0)


def at(hour):
    return NOON.replace(hour=hour) if hour is not None else None


def window(label, earliest, latest):
    return Window(label, at(earliest), at(latest))


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ((1, 2), (3, 4), True),
        ((1, 3), (3, 4), False),
        ((1, 4), (3, 5), False),
        ((None, 2), (3, None), True),
        ((None, 3), (3, None), False),
        ((None, None), (3, 4), False),
        ((1, None), (3, 4), False),
        ((5, None), (3, 4), True),
        ((None, 4), (3, None), False),
        ((None, 2), (None, 3), False),
        ((2, None), (3, None), False),
    ],
)
def test_windows_are_apart_only_where_one_ends_before_the_other_begins(one, other, apart):
    assert are_apart(window("a", *one), window("b", *other)) is apart
    assert are_apart(window("b", *other), window("a", *one)) is apart


def test_what_is_common_begins_last_and_ends_first():
    three = [window("a", 1, 9), window("b", 3, None), window("c", None, 7)]
    assert intersection(three) == (at(3), at(7))
    assert intersection([window("b", 3, None)]) == (at(3), None)
    assert intersection([window("c", None, 7)]) == (None, at(7))
    assert intersection([]) == (None, None)


def test_every_pair_that_excludes_each_other_is_named():
    four = [window("a", 1, 2), window("b", 3, 4), window("c", 2, 3), window("d", 5, None)]
    assert contradictions(four) == [("a", "b"), ("a", "d"), ("b", "d"), ("c", "d")]


def estimate(label, low, high, measured_at="2026-03-02T12:00"):
    return {"label": label, "measured_at": measured_at, "low_h": low, "high_h": high}


def summary(**inputs):
    return calculate("time_since_death", inputs).outcome


def test_the_whole_answer_of_two_methods_and_a_witness():
    found = summary(
        last_known_alive="2026-03-01T22:00",
        found_dead="2026-03-02T11:30",
        estimates=[estimate("temperature", 3, 15.5), estimate("vitreous", 0, 13)],
    )
    assert found.fields == {
        "time_line": [
            {
                "label": "last known alive to found dead",
                "earliest": "2026-03-01T22:00",
                "latest": "2026-03-02T11:30",
            },
            {
                "label": "temperature",
                "earliest": "2026-03-01T20:30",
                "latest": "2026-03-02T09:00",
            },
            {
                "label": "vitreous",
                "earliest": "2026-03-01T23:00",
                "latest": "2026-03-02T12:00",
            },
        ],
        "contradictions": [],
        "earliest": "2026-03-01T23:00",
        "latest": "2026-03-02T09:00",
    }
    assert found.interval == Interval(
        "2026-03-01T23:00", "2026-03-02T09:00", "common to all windows, not an average"
    )
    assert (found.unit, found.warnings, found.reason) == ("clock time", (), None)


OPEN = ("open at one end: not every bound is known",)
TOUCH = ("the windows touch at a single moment only",)


@pytest.mark.parametrize(
    ("inputs", "earliest", "latest", "warnings"),
    [
        ({"last_known_alive": "2026-03-02T01:00"}, "2026-03-02T01:00", None, OPEN),
        ({"found_dead": "2026-03-02T02:00"}, None, "2026-03-02T02:00", OPEN),
        ({"last_known_alive": "2026-03-02T01:00", "found_dead": "2026-03-02T01:00"},
         "2026-03-02T01:00", "2026-03-02T01:00", TOUCH),
        ({"last_known_alive": "2026-03-02T01:00", "found_dead": "2026-03-02T01:01"},
         "2026-03-02T01:00", "2026-03-02T01:01", ()),
        ({"estimates": [estimate("a", None, 2)]}, "2026-03-02T10:00", "2026-03-02T12:00", ()),
        ({"estimates": [estimate("a", 0, 2)]}, "2026-03-02T10:00", "2026-03-02T12:00", ()),
        ({"estimates": [estimate("a", 2, 2)]}, "2026-03-02T10:00", "2026-03-02T10:00", TOUCH),
        ({"estimates": [estimate("a", 0.5, None)]}, None, "2026-03-02T11:30", OPEN),
    ],
)  # fmt: skip
def test_open_ends_and_single_moments_are_said(inputs, earliest, latest, warnings):
    found = summary(**inputs)
    assert (found.fields["earliest"], found.fields["latest"]) == (earliest, latest)
    assert found.warnings == warnings


def test_windows_that_exclude_each_other_are_named_and_give_no_time():
    found = summary(estimates=[estimate("a", 1, 2), estimate("b", 3, 4), estimate("c", 5, 6)])
    assert found.reason == (
        "windows exclude each other, so there is no time that fits all of them: a / b; a / c; b / c"
    )
    assert found.fields["contradictions"] == [["a", "b"], ["a", "c"], ["b", "c"]]
    assert (found.fields["earliest"], found.fields["latest"]) == (None, None)
    assert [one["label"] for one in found.fields["time_line"]] == ["a", "b", "c"]


def test_elapsed_hours_are_counted_in_utc_and_shown_in_the_zone_given():
    shown = "2026-03-02T12:00-05:00"
    found = summary(estimates=[estimate("a", 1, 30, shown)]).fields
    assert (found["earliest"], found["latest"]) == (
        "2026-03-01T06:00-05:00",
        "2026-03-02T11:00-05:00",
    )
    moment = datetime.fromisoformat(shown).astimezone(UTC) - timedelta(hours=30)
    assert datetime.fromisoformat(found["earliest"]) == moment


LOW_ABOVE, NO_BOUND = "must not be above high_h", "needs a bound: low_h above 0, high_h, or both"
ZONES = "give all times with a zone, or all without"
NO_DATE = "leads to a date that does not exist"


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({}, "estimates", "needs at least one estimate or a witnessed time"),
        ({"estimates": []}, "estimates", "needs at least one estimate or a witnessed time"),
        ({"estimates": [estimate("a", 1, 2), estimate("b", 2.1, 2)]},
         "estimates[1].low_h", LOW_ABOVE),
        ({"estimates": [estimate("a", 1, 2), estimate("b", None, None)]},
         "estimates[1].low_h", NO_BOUND),
        ({"estimates": [estimate("a", 0, None)]}, "estimates[0].low_h", NO_BOUND),
        ({"estimates": [estimate("a", 1, 99_999, "0001-01-02T00:00")]},
         "estimates[0].high_h", NO_DATE),
        ({"estimates": [estimate("a", 99_999, None, "0001-01-02T00:00")]},
         "estimates[0].low_h", NO_DATE),
        ({"estimates": [estimate("a", 99_999, None, "0001-01-02T00:00+00:00")]},
         "estimates[0].low_h", NO_DATE),
        ({"last_known_alive": "2026-03-02T01:00", "found_dead": "2026-03-02T02:00+00:00"},
         "estimates", ZONES),
        ({"estimates": [estimate("a", 1, 2), estimate("b", 1, 2, "2026-03-02T12:00-05:00")]},
         "estimates", ZONES),
        ({"last_known_alive": "2026-03-02T01:01", "found_dead": "2026-03-02T01:00"},
         "found_dead", "must not be before last_known_alive"),
    ],
)  # fmt: skip
def test_what_is_no_window_is_said_beside_its_field(inputs, field, words):
    with pytest.raises(BadInput) as caught:
        calculate("time_since_death", inputs)
    assert (caught.value.field, caught.value.message) == (field, words)
