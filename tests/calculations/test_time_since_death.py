"""The summary of intervals: intersection only, contradictions named, nothing averaged."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

MEASURED = datetime(2026, 3, 2, 13, 0)
WINDOW = st.tuples(st.integers(0, 200), st.integers(0, 200)).map(sorted)
quick = settings(max_examples=60, deadline=None)


def estimate(label: str, low_h: float | None, high_h: float | None) -> dict[str, object]:
    return {
        "label": label,
        "measured_at": MEASURED.isoformat(),
        "low_h": low_h,
        "high_h": high_h,
    }


def ago(hours: float) -> str:
    return (MEASURED - timedelta(hours=hours)).isoformat(timespec="minutes")


@quick
@given(st.lists(WINDOW, min_size=1, max_size=6))
def test_the_common_time_lies_in_every_window_or_there_is_none(windows: list[list[int]]) -> None:
    windows = [[low, high] for low, high in windows if high > 0] or [[1, 2]]
    outcome = calculate(
        "time_since_death",
        {"estimates": [estimate(str(n), *window) for n, window in enumerate(windows)]},
    ).outcome
    longest, shortest = min(high for _, high in windows), max(low for low, _ in windows)
    if shortest > longest:
        assert outcome.reason
        assert outcome.fields["contradictions"]
        assert outcome.fields["earliest"] is None
    else:
        assert outcome.fields["earliest"] == ago(longest)
        assert outcome.fields["latest"] == ago(shortest)
        assert outcome.fields["contradictions"] == []


def test_witnesses_narrow_the_interval_as_one_more_window() -> None:
    fields = calculate(
        "time_since_death",
        {
            "last_known_alive": ago(14),
            "found_dead": ago(2),
            "estimates": [estimate("rectal temperature", 9.5, 15.0)],
        },
    ).outcome.fields
    assert (fields["earliest"], fields["latest"]) == (ago(14), ago(9.5))


def test_a_contradiction_names_both_windows_and_gives_no_time() -> None:
    outcome = calculate(
        "time_since_death",
        {
            "last_known_alive": ago(6),
            "estimates": [estimate("rectal temperature", 9.5, 15.0), estimate("vitreous", 1, 40)],
        },
    ).outcome
    assert outcome.fields["contradictions"] == [
        ["last known alive to found dead", "rectal temperature"]
    ]
    assert "rectal temperature" in (outcome.reason or "")
    assert outcome.value is None


def test_a_minimum_alone_leaves_the_early_end_open() -> None:
    outcome = calculate(
        "time_since_death", {"estimates": [estimate("body at ambient", 30, None)]}
    ).outcome
    assert outcome.fields["earliest"] is None
    assert outcome.fields["latest"] == ago(30)
    assert any("open" in warning for warning in outcome.warnings)


def test_hours_back_over_a_change_of_clock_are_elapsed_hours() -> None:
    # Clocks went from -05:00 to -04:00 on 2026-03-08 in most of the United States; a fixed offset
    # is kept as given.
    fields = calculate(
        "time_since_death",
        {
            "estimates": [
                {"label": "a", "measured_at": "2026-03-08T10:00-04:00", "low_h": 10, "high_h": 12}
            ]
        },
    ).outcome.fields
    assert fields["earliest"] == "2026-03-07T22:00-04:00"


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({}, "estimates"),
        ({"last_known_alive": ago(2), "found_dead": ago(3)}, "found_dead"),
        ({"estimates": [estimate("a", 5, 4)]}, "estimates[0].low_h"),
        ({"estimates": [estimate("a", None, None)]}, "estimates[0].low_h"),
        ({"estimates": [{"label": "a", "low_h": 1, "high_h": 2}]}, "estimates[0].measured_at"),
        (
            {"last_known_alive": ago(9) + "+00:00", "estimates": [estimate("a", 1, 2)]},
            "estimates",
        ),
        (
            {"estimates": [{**estimate("a", 1, 99_999), "measured_at": "0001-01-02T00:00"}]},
            "estimates[0].high_h",
        ),
    ],
)
def test_a_wrong_field_is_named(inputs: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("time_since_death", inputs)
    assert caught.value.field == field
