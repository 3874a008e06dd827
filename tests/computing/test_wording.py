"""Results in words: rounded sensibly, in the office's time, with what the cautions ask for."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from findings.calculations.registry import METHODS, calculate
from findings.computing.drawing import plot_of
from findings.computing.offered import BY_METHOD
from findings.computing.wording import given_of, phrase, report_text, sources_text

ZONE = ZoneInfo("America/New_York")
AT = datetime(2026, 3, 2, 13, 0, tzinfo=UTC)
SHED = {"rectal_C": 26.4, "ambient_C": 12.0, "mass_kg": 90.0, "corrective_factor": 1.0}


def say(method, inputs, at=AT):
    result = calculate(method, inputs).as_plain()
    return phrase(method, result, inputs, at, ZONE)


def test_hours_are_said_to_a_tenth_and_as_clock_times_of_the_office():
    said = say("pmi_rectal", SHED).summary
    # 15.9 h with 2.8 h to both sides: the worked example of the method's own page.
    assert said.headline == "Between 13.1 and 18.7 hours before the reading"
    assert said.clock == "That is between 1 Mar 2026, 13:16 and 18:52 EST."
    assert said.interval == "95 % band of the method."


def test_without_a_moment_there_is_no_clock_time():
    assert say("pmi_rectal", SHED, None).summary.clock == ""


def test_a_span_over_midnight_names_both_days():
    said = say("pmi_rectal", {**SHED, "rectal_C": 33.0}).summary
    assert said.clock.count("Mar 2026") == 2


def test_a_refusal_says_a_minimum_and_no_hours_of_the_formula():
    inputs = {**SHED, "rectal_C": 14.0}
    hours = calculate("pmi_rectal", inputs).as_plain()["t_h"]
    found = say("pmi_rectal", inputs)
    assert found.refusal
    assert found.summary.headline == ""
    assert found.summary.minimum.startswith("At least")
    everything = str(found) + report_text(
        "pmi_rectal", inputs, calculate("pmi_rectal", inputs).as_plain(), AT, ZONE
    )
    assert f"{hours:.1f}" not in everything
    assert f"{hours:.4g}" not in everything


def test_a_refusing_line_of_several_shows_no_hours():
    found = say("vitreous_potassium", {"potassium_mmol_L": 5.0})
    (table,) = found.summary.tables
    sturner = table.rows[0]
    assert "no estimate" in sturner
    assert "negative time" in str(sturner)


def test_angles_are_whole_degrees_with_their_uncertainty():
    inputs = dict(BY_METHOD["wound_path"].method.example)
    lines = dict(say("wound_path", inputs).summary.lines)
    # atan(12 / hypot(8, 18)) = 31.3 degrees, by hand.
    assert lines["To the horizontal plane (elevation)"] == "31° ± 2°"


def test_what_was_taken_for_granted_is_said():
    inputs = {name: value for name, value in SHED.items() if name != "corrective_factor"}
    given = given_of(BY_METHOD["pmi_rectal"].method, inputs, {}, ZONE)
    assert any("none was stated" in one.words for one in given)


def test_the_report_names_population_band_and_limits():
    text = report_text("pmi_rectal", SHED, calculate("pmi_rectal", SHED).as_plain(), AT, ZONE)
    for words in ("26.4 °C", "Between 13.1 and 18.7", "version 1.0", "not decide"):
        assert words in text
    assert "memory" not in text
    assert sources_text("pmi_rectal").count("source not checked") >= 1
    assert "memory" not in sources_text("pmi_rectal")
    organ = {"sex": "male", "organ": "heart", "weight_g": 420.0}
    text = report_text("organ_weights", organ, calculate("organ_weights", organ).as_plain(), None,
                       ZONE)  # fmt: skip
    assert "18 to 35 years" in text


def test_windows_without_common_time_are_not_drawn_as_one():
    inputs = {
        "found_dead": "2026-03-02T11:30+00:00",
        "estimates": [
            {"label": "a", "measured_at": "2026-03-05T13:00+00:00", "low_h": 1.0, "high_h": 2.0}
        ],
    }
    result = calculate("time_since_death", inputs).as_plain()
    plot = plot_of("time_since_death", inputs, result, None, ZONE)
    assert "no time common" in plot.svg
    assert "plot-common" not in plot.svg


def test_times_too_far_to_draw_leave_the_words():
    inputs = {"last_known_alive": "0001-01-01T00:00", "found_dead": "9999-12-31T23:59"}
    result = calculate("time_since_death", inputs).as_plain()
    assert plot_of("time_since_death", inputs, result, None, ZONE) is None
    assert phrase("time_since_death", result, inputs, None, ZONE).summary.headline


def test_aware_times_at_the_ends_of_the_calendar_do_not_break_the_words():
    inputs = {"last_known_alive": "0001-01-01T00:00+00:00", "found_dead": "9999-12-31T23:59+00:00"}
    result = calculate("time_since_death", inputs).as_plain()
    assert phrase("time_since_death", result, inputs, None, ZONE).summary.headline


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.name)
def test_every_example_can_be_said(method):
    result = method.run(method.example).as_plain()
    found = phrase(method.name, result, method.example, AT, ZONE)
    assert found.cautions
    assert found.sources
    if method.name in BY_METHOD:
        assert found.summary.headline or found.refusal
        printed = report_text(method.name, method.example, result, AT, ZONE)
        # What is not confirmed is said in the method's note, once.
        assert printed
        assert "memory" not in printed + sources_text(method.name)
