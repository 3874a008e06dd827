"""Rule 6 row by row: what is passed over, in which words, and both sides of every limit.

Worked by hand from the text of Federal Rule of Civil Procedure 6 and 5 U.S.C. 6103.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from findings.calculations.deadline import Calendar, last_day, last_hour
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

DAY = timedelta(days=1)
NEW_YORK = ZoneInfo("America/New_York")


def outcome(**inputs):
    return calculate("deadlines", inputs).outcome


@pytest.mark.parametrize(
    ("day", "why"),
    [
        (date(2026, 6, 5), None),
        (date(2026, 6, 6), "Saturday"),
        (date(2026, 6, 7), "Sunday"),
        (date(2026, 6, 8), None),
        (date(2026, 6, 9), "state holiday"),
        (date(2026, 6, 10), "declared holiday"),
        # Both a state holiday and a declared day.
        (date(2026, 6, 11), "state holiday"),
    ],
)
def test_a_day_is_closed_for_one_reason(day, why):
    calendar = Calendar(
        state_holidays=frozenset({date(2026, 6, 9), date(2026, 6, 11)}),
        declared=frozenset({date(2026, 6, 10), date(2026, 6, 11)}),
    )
    assert calendar.closed_because(day) == why
    assert calendar.passes(day) is (why is not None)
    noted = [f"{day.isoformat()} is passed over: {why}"] if why else []
    assert calendar.notices == noted
    assert not calendar.rests_on_friday


def test_a_holiday_is_named_and_only_a_friday_before_it_is_in_doubt():
    independence = Calendar()
    # 2025-07-04 is a Friday and the holiday itself.
    named = independence.closed_because(date(2025, 7, 4))
    assert named
    assert "observed" not in named
    assert not independence.rests_on_friday
    # 2027-07-04 is a Sunday: Monday is the observed day, by law.
    monday = Calendar()
    assert monday.closed_because(date(2027, 7, 5)) == f"{named}, observed for 2027-07-04"
    assert not monday.rests_on_friday
    # 2026-07-04 is a Saturday: whether Friday counts is asked, and stays asked.
    friday = Calendar()
    assert friday.closed_because(date(2026, 7, 3)) == f"{named}, observed for 2026-07-04"
    assert friday.rests_on_friday
    friday.closed_because(date(2027, 7, 5))
    assert friday.rests_on_friday


def test_days_passed_over_are_said_in_their_order():
    found = outcome(
        trigger="2026-06-01",
        days=5,
        state_holidays=["2026-06-08"],
        declared_holidays=["2026-06-09"],
        clerk_inaccessible=["2026-06-10", "2026-06-06"],
    )
    assert found.value == "2026-06-11 Thursday"
    assert found.unit == "date"
    assert found.warnings == ()
    assert found.fields == {
        "deadline": "2026-06-11 Thursday",
        "passed_over": [
            "2026-06-06 is passed over: Saturday",
            "2026-06-07 is passed over: Sunday",
            "2026-06-08 is passed over: state holiday",
            "2026-06-09 is passed over: declared holiday",
            "2026-06-10 is passed over: clerk's office inaccessible",
        ],
    }


def test_a_backward_period_leaves_state_holidays_out_and_goes_on_backward():
    # 6(a)(6)(C). 2026-06-09 less two days is Sunday; Friday is a state holiday.
    asked = {"trigger": "2026-06-09", "days": 2, "direction": "before"}
    found = outcome(**asked, state_holidays=["2026-06-05"])
    assert found.value == "2026-06-05 Friday"
    assert outcome(**asked, declared_holidays=["2026-06-05"]).value == "2026-06-04 Thursday"
    # 6(a)(3): where the clerk cannot be reached, forward also for a backward period.
    assert outcome(**asked, clerk_inaccessible=["2026-06-05"]).value == "2026-06-08 Monday"


def test_three_days_of_service_are_said_after_the_plain_end():
    found = outcome(trigger="2026-06-01", days=7, service_adds_3=True)
    assert found.fields["passed_over"] == ["three days of 6(d) are added after 2026-06-08"]
    assert outcome(trigger="2026-06-01", days=7).fields["passed_over"] == []
    # The three days end on a Sunday: on to Monday.
    found = outcome(trigger="2026-06-01", days=3, service_adds_3=True)
    assert found.value == "2026-06-08 Monday"


def test_the_functions_count_alone():
    end = last_day(
        date(2026, 6, 1), 1, is_before=False, adds_service_days=False, calendar=Calendar()
    )
    assert end == date(2026, 6, 2)
    noon = datetime(2026, 6, 5, 12, tzinfo=NEW_YORK)
    assert last_hour(noon, 1.5, is_before=True, calendar=Calendar()) == noon - timedelta(hours=1.5)


@pytest.mark.parametrize(
    ("trigger", "inputs", "end"),
    [
        # Friday noon; Monday is the next open day forward, Friday backward.
        ("2026-06-05T12:00", {"hours": 24}, "2026-06-08T12:00"),
        ("2026-06-08T12:00", {"hours": 24, "direction": "before"}, "2026-06-05T12:00"),
        ("2026-06-04 12:00", {"hours": 0.5}, "2026-06-04T12:30"),
        ("2026-06-04t12:00", {"hours": 1}, "2026-06-04T13:00"),
        ("2026-06-05T12:00", {"hours": 1, "clerk_inaccessible": ["2026-06-05"]},
         "2026-06-08T13:00"),
        # A time with its own offset is taken into the court's zone.
        ("2026-06-04T12:00+00:00", {"hours": 1}, "2026-06-04T09:00"),
        # Clocks go forward on Sunday, 2026-03-08, and back on 2026-11-01: elapsed hours.
        ("2026-03-06T12:00", {"hours": 72}, "2026-03-09T13:00"),
        ("2026-10-30T12:00", {"hours": 72}, "2026-11-02T11:00"),
        ("2026-10-31T12:00", {"hours": 1}, "2026-11-02T13:00"),
    ],
)  # fmt: skip
def test_hours_go_on_to_the_same_time_of_an_open_day(trigger, inputs, end):
    found = outcome(trigger=trigger, zone="America/New_York", **inputs)
    assert (found.value, found.unit) == (end, "local time")
    assert found.fields["deadline"] == end


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Asia/Tokyo"])
def test_the_court_may_sit_in_another_zone_than_the_office(zone):
    assert outcome(trigger="2026-06-05T12:00", zone=zone, hours=24).value == "2026-06-08T12:00"
    noon = datetime(2026, 6, 4, 12, tzinfo=ZoneInfo(zone))
    given = outcome(trigger=noon.astimezone(NEW_YORK).isoformat(), zone=zone, hours=1)
    assert given.value == "2026-06-04T13:00"
    back = outcome(
        trigger="2026-06-08T12:00", zone=zone, hours=72, direction="before",
        state_holidays=["2026-06-05"],
    )  # fmt: skip
    assert back.value == "2026-06-05T12:00"


def test_a_time_that_another_zone_skips_is_refused_there_only():
    # Clocks go forward in Berlin on 2026-03-29 at 2:00, in New York three weeks before.
    with pytest.raises(BadInput):
        outcome(trigger="2026-03-29T02:30", zone="Europe/Berlin", hours=1)
    assert outcome(trigger="2026-03-09T02:30", zone="Europe/Berlin", hours=1).value


def test_a_time_that_daylight_saving_skips_comes_an_hour_later():
    # Clocks are changed on a Sunday, on which no period ends: only a calendar with open Sundays
    # can show it.
    class Open(Calendar):
        def closed_because(self, day):
            return "closed" if day == date(2026, 3, 7) else None

    start = datetime(2026, 3, 6, 2, 30, tzinfo=NEW_YORK)
    end = last_hour(start, 24, is_before=False, calendar=Open())
    assert end.replace(tzinfo=None) == datetime(2026, 3, 8, 3, 30)


def test_an_event_before_the_present_rule_and_a_friday_in_doubt_are_warned_of():
    old = "event before 2009-12-01: counted by the present rule all the same"
    friday = "rests on a Saturday holiday observed on Friday: ask whether the court counts that day"
    assert outcome(trigger="2009-11-30", days=1).warnings == (old,)
    assert outcome(trigger="2009-12-01", days=1).warnings == ()
    assert outcome(trigger="2026-07-02", days=1).warnings == (friday,)
    assert outcome(trigger="2009-06-26", days=7).warnings == (friday, old)
    hours = outcome(trigger="2009-11-30T10:00", hours=1, zone="America/New_York")
    assert hours.warnings == (old,)


YEARS = "must lie in the years 1986 to 2199"
NO_DATE, NO_TIME = "must be a date like 2026-06-05", "must be a date and time like 2026-06-05T10:23"
NO_ZONE = "is not a time zone like America/New_York"
ZONE = {"zone": "America/New_York", "hours": 1}


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({"trigger": "tomorrow", "days": 1}, "trigger", NO_DATE),
        ({"trigger": "2026-06-31T10:00", "days": 1}, "trigger", NO_DATE),
        ({"trigger": "1985-12-31", "days": 1}, "trigger", YEARS),
        ({"trigger": "2200-01-01", "days": 1}, "trigger", YEARS),
        ({"trigger": "1985-12-31T23:59", **ZONE}, "trigger", YEARS),
        ({"trigger": "2200-01-01T00:00", **ZONE}, "trigger", YEARS),
        ({"trigger": "2026-06-01", **ZONE}, "trigger", NO_TIME),
        ({"trigger": "tomorrow", **ZONE}, "trigger", NO_TIME),
        ({"trigger": "2026-06-01T10:00", "hours": 1, "zone": "Nowhere/At_All"}, "zone", NO_ZONE),
        ({"trigger": "2026-06-01T10:00", "hours": 1, "zone": "/etc"}, "zone", NO_ZONE),
        ({"trigger": "2026-03-08T02:30", **ZONE}, "trigger",
         "is a time that daylight saving skips in this zone"),
        ({"trigger": "2026-06-01"}, "days", "give the period either in days or in hours"),
        ({"trigger": "2026-06-01", "days": 1, "hours": 1}, "days",
         "give the period either in days or in hours"),
        ({"trigger": "2026-06-01", "days": 1, "direction": "before", "service_adds_3": True},
         "service_adds_3", "applies only to periods after service"),
        ({"trigger": "2026-06-01T10:00", "service_adds_3": True, **ZONE},
         "service_adds_3", "applies only to periods in days"),
    ],
)  # fmt: skip
def test_what_cannot_be_counted_is_said_beside_its_field(inputs, field, words):
    with pytest.raises(BadInput) as caught:
        calculate("deadlines", inputs)
    assert (caught.value.field, caught.value.message) == (field, words)


@pytest.mark.parametrize(
    ("inputs", "end"),
    [
        ({"trigger": "1986-01-01", "days": 1}, "1986-01-02 Thursday"),
        ({"trigger": "2199-12-31", "days": 2}, "2200-01-02 Thursday"),
        ({"trigger": "1986-01-02T10:00", **ZONE}, "1986-01-02T11:00"),
        ({"trigger": "2199-12-30T10:00", **ZONE}, "2199-12-30T11:00"),
        # A day with its time is a day, and so is one with a time begun.
        ({"trigger": "2026-06-01T", "days": 1}, "2026-06-02 Tuesday"),
        ({"trigger": "2026-06-01T23:59", "days": 1}, "2026-06-02 Tuesday"),
    ],
)
def test_the_first_and_the_last_year_are_counted(inputs, end):
    assert outcome(**inputs).value == end


def test_a_date_that_the_court_fixed_is_refused_before_anything_else():
    found = outcome(trigger="2026-06-01", fixed_by_court=True)
    assert found.reason == "the court has fixed the date: it is not computed"
    assert found.fields["deadline"] is None
