"""What holds of every count: over all days of years, and for rules as they may be entered."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations.counting import (
    MOST,
    Added,
    ClosedAs,
    Closure,
    Direction,
    Moves,
    Period,
    Service,
    Unit,
    count,
    court_days_between,
    day_words,
)
from findings.calculations.counting_rules import ELECTRONIC, MAIL, SHIPPED
from findings.calculations.federal_holidays import holiday_on, holidays_of
from findings.calculations.holiday_calendars import FIRST_YEAR, LAST_YEAR, NO_HOLIDAYS
from tests.calculations.counted_rules import RULES

DAY = timedelta(days=1)
AFTER, BEFORE = Direction.AFTER, Direction.BEFORE
CIVIL = SHIPPED["federal-civil"]
NEW_YORK = ZoneInfo("America/New_York")
PERIODS = (1, 3, 5, 7, 10, 14, 20, 21, 28, 30, 45, 60, 90)
OUTSIDE = json.loads(Path(__file__).with_name("federal_days.json").read_text(encoding="utf-8"))
# The outside calendar and numpy's own arithmetic of open days: nothing of this office.
OPEN_DAYS = np.busdaycalendar(
    "1111100",
    [f"{year}-{month_day}" for year, days in OUTSIDE["days"].items() for month_day in days],
)
EVENTS = st.dates(date(2015, 1, 1), date(2034, 12, 31))
quick = settings(max_examples=60, deadline=None)


def end_of(rule, event: date, days: int, direction: Direction = AFTER, **more) -> date:
    found = count(rule, event, Period(days, Unit.DAYS, direction), **more)
    assert found.end is not None, found.refused
    return found.end


def outside(days: Iterable[date], roll: str) -> list[date]:
    found = np.busday_offset(np.array([*days], "datetime64[D]"), 0, roll, busdaycal=OPEN_DAYS)
    return found.astype(object).tolist()


def all_days(first: int, last: int) -> list[date]:
    start = date(first, 1, 1)
    return [start + n * DAY for n in range((date(last + 1, 1, 1) - start).days)]


@pytest.mark.parametrize(("direction", "roll"), [(AFTER, "forward"), (BEFORE, "backward")])
def test_ten_years_of_events_come_out_as_by_an_outside_library(direction, roll):
    # Every day of the years, each with one of the periods in turn, so that each meets each weekday.
    events = all_days(2021, 2030)
    asked = [(event, PERIODS[n % len(PERIODS)]) for n, event in enumerate(events)]
    step = DAY if direction is AFTER else -DAY
    expected = outside((event + days * step for event, days in asked), roll)
    found = [end_of(CIVIL, event, days, direction) for event, days in asked]
    wrong = [row for row in zip(asked, expected, found, strict=True) if row[1] != row[2]]
    assert wrong == []


def test_three_days_for_service_come_out_as_by_an_outside_library():
    events = all_days(2025, 2027)
    plain = outside((event + 14 * DAY for event in events), "forward")
    expected = outside((end + 3 * DAY for end in plain), "forward")
    assert [end_of(CIVIL, event, 14, way=MAIL) for event in events] == expected


def test_court_days_come_out_as_by_an_outside_library():
    events = all_days(2026, 2027)
    for amount, roll, sign, direction in ((5, "backward", 1, AFTER), (16, "forward", -1, BEFORE)):
        days = np.array(events, "datetime64[D]")
        # numpy starts from an open day: from a closed one, the count begins at the one beside it.
        expected = np.busday_offset(days, sign * amount, roll, busdaycal=OPEN_DAYS)
        period = Period(amount, Unit.COURT_DAYS, direction)
        assert [count(CIVIL, event, period).end for event in events] == expected.astype(
            object
        ).tolist()


# As the Office of Personnel Management has them, read on November 30, 2026, in copies: the days on
# which each holiday is kept.
OPM = {
    # https://www.fedsmith.com/2012/01/02/2012-paid-federal-holidays/
    2012: "01-02 01-16 02-20 05-28 07-04 09-03 10-08 11-12 11-22 12-25",
    # https://www.j4neiros.us/2023/12/federal-holidays-2023.html
    2023: "01-02 01-16 02-20 05-29 06-19 07-04 09-04 10-09 11-10 11-23 12-25",
}


@pytest.mark.parametrize("year", OPM)
def test_the_days_on_which_holidays_are_kept_are_those_of_the_published_table(year):
    observed = [one.observed for one in holidays_of(year)]
    assert " ".join(f"{day:%m-%d}" for day in observed) == OPM[year]


def test_juneteenth_is_a_holiday_since_2021_and_inauguration_day_in_the_district_alone():
    assert holiday_on(date(2020, 6, 19)) is None
    assert holiday_on(date(2021, 6, 19)) and holiday_on(date(2021, 6, 18))
    assert end_of(CIVIL, date(2020, 6, 5), 14) == date(2020, 6, 19)
    assert end_of(CIVIL, date(2023, 6, 5), 14) == date(2023, 6, 20)
    # Wednesday, January 20, 2021.
    assert holiday_on(date(2021, 1, 20)) is None
    assert end_of(CIVIL, date(2021, 1, 6), 14) == date(2021, 1, 20)
    district = replace(CIVIL, calendar="US-DC")
    assert end_of(district, date(2021, 1, 6), 14) == date(2021, 1, 21)


def test_a_holiday_of_the_state_moves_ends_after_an_event_alone_and_a_declared_day_both():
    # Monday, April 20, 2026, fourteen days from April 6 and May 4.
    for is_local, before in ((True, date(2026, 4, 20)), (False, date(2026, 4, 17))):
        one = Closure(date(2026, 4, 20), date(2026, 4, 20), "kept", True, is_local)
        for rule in SHIPPED.values():
            assert end_of(rule, date(2026, 4, 6), 14, closures=[one]) == date(2026, 4, 21)
            assert end_of(rule, date(2026, 5, 4), 14, BEFORE, closures=[one]) == before


@quick
@given(EVENTS, st.integers(1, 400), st.sampled_from(Direction), st.sampled_from(["", MAIL]))
def test_a_longer_period_never_ends_sooner_and_a_later_event_never_earlier(
    event, days, direction, way
):
    way = way if direction is AFTER else ""
    end = end_of(CIVIL, event, days, direction, way=way)
    assert end_of(CIVIL, event + DAY, days, direction, way=way) >= end
    longer = end_of(CIVIL, event, days + 1, direction, way=way)
    assert longer >= end if direction is AFTER else longer <= end


def test_ten_days_could_outlast_fourteen_while_short_periods_left_days_out():
    # FRAP 26, committee note 2009 on the rule as it was before, with Miltimore Sales, Inc. v. Int'l
    # Rectifier, Inc., 412 F.3d 685 (6th Cir. 2005); told in a note that was read:
    # http://www.mindelscott.com/2022/10/21/if-a-court-deadline-falls-on-a-weekend/
    before = RULES["federal-civil-before-2009"]
    events = [one for one in all_days(2006, 2008) if one.weekday() < 5]
    ten = [end_of(before, one, 10) for one in events]
    fourteen = [end_of(before, one, 14) for one in events]
    pairs = [*zip(ten, fourteen, strict=True)]
    assert sum(a == b for a, b in pairs) > len(pairs) / 2
    assert any(a > b for a, b in pairs)
    # Each ten days below eleven were court days, eleven were not.
    assert all(end_of(CIVIL, one, 10) <= end_of(CIVIL, one, 14) for one in events[:300])


@quick
@given(EVENTS, st.integers(1, 120))
def test_counted_back_from_its_end_a_period_begins_no_earlier_than_it_did(event, days):
    back = end_of(CIVIL, end_of(CIVIL, event, days), days, BEFORE)
    assert back >= end_of(CIVIL, event + DAY, 1, BEFORE)
    if end_of(CIVIL, event, days) == event + days * DAY and holiday_on(event) is None:
        assert back == event or event.weekday() > 4


CLOSURES = st.lists(
    st.builds(
        lambda gap, length, is_holiday: (gap, length, is_holiday),
        st.integers(-3, 40), st.integers(0, 5), st.booleans(),
    ),
    min_size=1, max_size=4,
)  # fmt: skip


@quick
@given(EVENTS, st.integers(1, 40), st.sampled_from(ClosedAs), CLOSURES)
def test_one_more_closure_never_makes_a_period_after_an_event_end_earlier(
    event, days, closed_as, drawn
):
    rule = replace(CIVIL, closed_as=closed_as)
    closures = [
        Closure(event + gap * DAY, event + (gap + length) * DAY, "closed", is_holiday=is_holiday)
        for gap, length, is_holiday in drawn
    ]
    fewer = end_of(rule, event, days, way=MAIL, closures=closures[1:])
    assert end_of(rule, event, days, way=MAIL, closures=closures) >= fewer
    # Nor does a closed office move an end before an event to an earlier day.
    offices = [replace(one, is_holiday=False) for one in closures]
    if closed_as is ClosedAs.FORWARD:
        fewer = end_of(rule, event, days, BEFORE, closures=offices[1:])
        assert end_of(rule, event, days, BEFORE, closures=offices) >= fewer


@pytest.mark.parametrize(
    ("closed_as", "direction", "end"),
    [
        (ClosedAs.FORWARD, AFTER, date(2026, 6, 30)),
        (ClosedAs.HOLIDAY, AFTER, date(2026, 6, 30)),
        (ClosedAs.NOT, AFTER, date(2026, 6, 15)),
        (ClosedAs.FORWARD, BEFORE, date(2026, 6, 30)),
        (ClosedAs.HOLIDAY, BEFORE, date(2026, 6, 12)),
        (ClosedAs.NOT, BEFORE, date(2026, 6, 15)),
    ],
)
def test_a_chain_of_closures_is_passed_as_the_rule_says(closed_as, direction, end):
    # Closed from Monday, June 15, to Friday the 19th, a holiday anyway, and Monday the 22nd to the
    # 29th, in three parts: from Monday the 15th on, the first open day is Tuesday the 30th.
    parts = (("2026-06-15", "2026-06-17"), ("2026-06-18", "2026-06-22"),
             ("2026-06-23", "2026-06-29"))  # fmt: skip
    chain = [Closure(date.fromisoformat(a), date.fromisoformat(b), "closed") for a, b in parts]
    event = date(2026, 6, 1) if direction is AFTER else date(2026, 6, 29)
    rule = replace(CIVIL, closed_as=closed_as)
    assert end_of(rule, event, 14, direction, closures=chain) == end


def test_a_closure_holds_from_its_first_to_its_last_day():
    # Friday, June 12, is the last day of fourteen from May 29.
    for first, last, end in (
        ("2026-06-11", "2026-06-11", "2026-06-12"),
        ("2026-06-11", "2026-06-12", "2026-06-15"),
        ("2026-06-12", "2026-06-12", "2026-06-15"),
        ("2026-06-12", "2026-06-15", "2026-06-16"),
        ("2026-06-13", "2026-06-15", "2026-06-12"),
    ):
        one = Closure(date.fromisoformat(first), date.fromisoformat(last), "closed")
        assert end_of(CIVIL, date(2026, 5, 29), 14, closures=[one]) == date.fromisoformat(end)


@pytest.mark.parametrize(
    ("event", "days", "end"),
    [
        ("2024-02-28", 1, "2024-02-29"),
        ("2024-02-28", 2, "2024-03-01"),
        ("2023-02-28", 1, "2023-03-01"),
        ("2024-02-29", 365, "2025-02-28"),
        ("2023-03-01", 366, "2024-03-01"),
        ("2099-12-31", 59, ""),
        ("2087-12-31", 60, "2088-02-29"),
    ],
)
def test_leap_days_are_days(event, days, end):
    found = count(replace(CIVIL, calendar=NO_HOLIDAYS, closed_weekdays=frozenset()),
                  date.fromisoformat(event), Period(days))  # fmt: skip
    assert (found.end.isoformat() if found.end else "") == end


@quick
@given(
    st.datetimes(datetime(2015, 1, 5), datetime(2034, 12, 1)).filter(lambda one: one.hour > 3),
    st.integers(1, 500),
    st.sampled_from(Direction),
)
def test_hours_are_elapsed_hours_and_end_on_no_excluded_day(trigger, hours, direction):
    trigger = trigger.replace(second=0, microsecond=0, tzinfo=NEW_YORK)
    found = count(CIVIL, trigger, Period(hours, Unit.HOURS, direction))
    sign = 1 if direction is AFTER else -1
    exact = (trigger.astimezone(UTC) + sign * timedelta(hours=hours)).astimezone(NEW_YORK)
    assert found.end is not None and found.moment is not None
    assert [found.end] == outside([exact.date()], "forward" if direction is AFTER else "backward")
    assert found.moment.date() == found.end
    if found.end == exact.date():
        assert found.moment == exact
    else:
        assert found.moment.time() == exact.time()
    changes = "The clocks change between the event and the end." in found.warnings
    assert changes == (trigger.utcoffset() != found.moment.utcoffset())


@pytest.mark.parametrize(
    ("trigger", "hours", "moment"),
    [
        # Into summer time, Sunday, March 8, 2026, at 2:00; and out of it, November 1.
        ("2026-03-06 10:00", 72, "2026-03-09 11:00"),
        ("2026-10-30 10:00", 72, "2026-11-02 09:00"),
        ("2026-03-06 10:00", 24, "2026-03-09 10:00"),  # Saturday: the same time on Monday
        ("2026-06-01 10:00", 0.5, "2026-06-01 10:30"),
        ("2026-12-31 23:00", 1, "2027-01-04 00:00"),  # January 1: goes on to Monday
        ("2026-12-31 23:00", 0.9, "2026-12-31 23:54"),
    ],
)
def test_hours_go_across_midnight_and_a_change_of_the_clocks(trigger, hours, moment):
    start = datetime.fromisoformat(trigger).replace(tzinfo=NEW_YORK)
    found = count(CIVIL, start, Period(hours, Unit.HOURS))
    assert f"{found.moment:%Y-%m-%d %H:%M}" == moment


@pytest.mark.parametrize("unit", Unit)
def test_each_limit_holds_on_both_sides(unit):
    moment = datetime(2026, 6, 1, 9, tzinfo=NEW_YORK)
    most = MOST[unit]
    for amount, is_counted in ((0, False), (1, True), (most, True), (most + 1, False)):
        found = count(CIVIL, moment, Period(amount, unit))
        assert (found.end is not None) == is_counted, amount
        assert found.field == ("" if is_counted else "amount")
    for year, is_counted in (
        (FIRST_YEAR - 1, False), (FIRST_YEAR, True), (LAST_YEAR - 11, True), (LAST_YEAR - 10, False)
    ):  # fmt: skip
        found = count(CIVIL, moment.replace(year=year), Period(1, unit))
        assert (found.end is not None) == is_counted, year


def test_the_longest_periods_that_can_be_asked_for_end():
    for direction, year in ((AFTER, LAST_YEAR - 11), (BEFORE, FIRST_YEAR)):
        for rule in (CIVIL, RULES["california"]):
            assert end_of(rule, date(year, 12, 31), MOST[Unit.DAYS], direction)
            period = Period(MOST[Unit.COURT_DAYS], Unit.COURT_DAYS, direction)
            assert count(rule, date(year, 12, 31), period).end


def test_only_periods_below_the_limit_of_a_rule_count_court_days():
    # From Wednesday, June 3, 2026: seven days end on the next Wednesday, six court days on
    # Thursday.
    short = replace(CIVIL, court_days_below=7)
    assert end_of(short, date(2026, 6, 3), 7) == date(2026, 6, 10)
    assert end_of(short, date(2026, 6, 3), 6) == date(2026, 6, 11)
    assert end_of(CIVIL, date(2026, 6, 3), 6) == date(2026, 6, 9)


def test_days_for_service_are_added_where_the_rule_adds_them():
    # The thirtieth day from June 5, 2026, is Sunday, July 5; the Monday is open.
    event = date(2026, 6, 5)
    for service, end in (
        (Service("mail", 3), date(2026, 7, 9)),
        (Service("mail", 3, added=Added.TO_PERIOD), date(2026, 7, 8)),
        (Service("mail", 2, court_days=True), date(2026, 7, 8)),
        (Service("mail", 2, court_days=True, added=Added.TO_PERIOD), date(2026, 7, 7)),
        (Service("mail", 0), date(2026, 7, 6)),
    ):
        assert end_of(replace(CIVIL, services=(service,)), event, 30, way="mail") == end, service
    # The thirtieth day from June 10 is a Friday: two court days after it end on Tuesday.
    for added in Added:
        court_days = replace(CIVIL, services=(Service("mail", 2, True, added),))
        assert end_of(court_days, date(2026, 6, 10), 30, way="mail") == date(2026, 7, 14)
    assert end_of(CIVIL, event, 30, way=ELECTRONIC) == date(2026, 7, 6)
    # To a period before an event they are added backward: ten and five before June 30.
    back = replace(CIVIL, services=(Service("mail", 5, added=Added.TO_PERIOD),))
    assert end_of(back, date(2026, 6, 30), 10, BEFORE, way="mail") == date(2026, 6, 15)


def test_court_days_between_two_days_are_those_that_a_count_takes():
    closures = [Closure(date(2026, 7, 8), date(2026, 7, 9), "closed")]
    event = date(2026, 6, 30)
    for amount in range(1, 30):
        end = count(CIVIL, event, Period(amount, Unit.COURT_DAYS), closures=closures).end
        assert court_days_between(CIVIL, event, end, closures) == amount
        assert court_days_between(CIVIL, event, end - DAY, closures) == amount - 1
    assert court_days_between(CIVIL, event, event) == 0
    assert court_days_between(CIVIL, event, event - DAY) == 0


def test_an_end_that_stays_goes_on_only_for_a_closed_office_that_sends_it_on():
    # Monday, June 15, 2026; and Sunday the 14th.
    closures = [Closure(date(2026, 6, 14), date(2026, 6, 15), "closed")]
    for closed_as, ends in (
        (ClosedAs.FORWARD, (date(2026, 6, 16), date(2026, 6, 16))),
        (ClosedAs.HOLIDAY, (date(2026, 6, 15), date(2026, 6, 14))),
        (ClosedAs.NOT, (date(2026, 6, 15), date(2026, 6, 14))),
    ):
        rule = replace(CIVIL, forward=Moves.STAYS, closed_as=closed_as)
        found = [end_of(rule, date(2026, 6, 1), days, closures=closures) for days in (14, 13)]
        assert tuple(found) == ends, closed_as


@pytest.mark.parametrize(
    ("closed_weekdays", "end"),
    [({5, 6}, date(2026, 6, 8)), ({6}, date(2026, 6, 6)), ((), date(2026, 6, 6))],
)
def test_a_rule_says_on_which_weekdays_no_period_ends(closed_weekdays, end):
    rule = replace(CIVIL, closed_weekdays=frozenset(closed_weekdays))
    assert end_of(rule, date(2026, 6, 1), 5) == end
    assert end_of(replace(rule, forward=Moves.STAYS), date(2026, 6, 1), 5) == date(2026, 6, 6)


def test_the_steps_say_what_the_count_did():
    """Every day that a step names was so: none is passed over unsaid, and the last is the end."""
    closures = [Closure(date(2026, 6, 22), date(2026, 6, 24), "closed by order")]
    for days in range(1, 60):
        found = count(CIVIL, date(2026, 6, 1), Period(days), way=MAIL, closures=closures)
        passed = [one.when for one in found.steps if "does not end here" in one.what]
        plain = end_of(CIVIL, date(2026, 6, 1), days, closures=closures)
        first = date(2026, 6, 1) + days * DAY
        apart = {first + n * DAY for n in range((plain - first).days)}
        again = plain + 3 * DAY
        apart |= {again + n * DAY for n in range((found.end - again).days)}
        assert {*passed} == apart and len(passed) == len(apart)
        assert found.steps[-1].when == found.end
        assert found.steps[-1].words.startswith(day_words(found.end))


def said(found) -> list[str]:
    return [one.words for one in found.steps]


def test_the_steps_name_up_to_three_weekdays_kept_in_between_and_none_in_court_days():
    # Veterans Day, Thanksgiving, Christmas; New Year's Day would be the fourth.
    found = count(CIVIL, date(2026, 11, 2), Period(70))
    told = [one.when for one in found.steps if "in between" in one.what]
    assert told == [date(2026, 11, 11), date(2026, 11, 26), date(2026, 12, 25)]
    # Saturday, July 4, 2026, is no weekday; the Friday before it is kept.
    found = count(CIVIL, date(2026, 6, 25), Period(20))
    assert [one.when for one in found.steps if "in between" in one.what] == [date(2026, 7, 3)]
    found = count(CIVIL, date(2026, 11, 2), Period(20, Unit.COURT_DAYS))
    assert not any("in between" in words for words in said(found))


def test_each_day_passed_over_names_the_paragraph_by_which_it_was():
    # Saturday, June 6, 2026, both ways.
    after = said(count(CIVIL, date(2026, 6, 1), Period(5)))
    assert "6 Jun 2026: Saturday: the period does not end here ((a)(1)(C))" in after
    before = said(count(CIVIL, date(2026, 6, 11), Period(5, Unit.DAYS, BEFORE)))
    assert "6 Jun 2026: Saturday: the period does not end here ((a)(5))" in before


def test_what_adds_nothing_is_no_hindrance_and_one_open_weekday_is_enough():
    moment = datetime(2026, 6, 1, 9, tzinfo=NEW_YORK)
    found = count(CIVIL, moment, Period(4, Unit.HOURS), way=ELECTRONIC)
    assert found.moment == moment.replace(hour=13)
    assert end_of(CIVIL, date(2026, 6, 11), 5, BEFORE, way=ELECTRONIC) == date(2026, 6, 5)
    sundays = replace(CIVIL, closed_weekdays=frozenset(range(6)))
    assert end_of(sundays, date(2026, 6, 1), 1) == date(2026, 6, 7)
