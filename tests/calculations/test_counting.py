"""Counting by a rule: examples from memory or worked by hand, and what holds for every rule.

"Read" is what was read of the source, mostly in excerpts of public copies; what is from memory says
so. "Worked" is a date worked by hand from the text that is named: the text gives no date. Those
that are published and were read stand in `test_counted_examples.py`.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import holidays
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations.counting import (
    Added,
    ClosedAs,
    Closure,
    Direction,
    Moves,
    Period,
    RuleSet,
    Service,
    Unit,
    count,
    zone_moment,
)
from findings.calculations.counting_rules import BY_HAND, MAIL, SHIPPED
from findings.calculations.holiday_calendars import calendar_names, teller_of
from findings.calculations.registry import calculate
from tests.calculations.counted_rules import CALIFORNIA, RULES

DAY = timedelta(days=1)
NEW_YORK = ZoneInfo("America/New_York")
CIVIL = SHIPPED["federal-civil"]
# The rules as they stood before December 1, 2009: short periods left weekends and holidays out.
CIVIL_BEFORE = RULES["federal-civil-before-2009"]
BANKRUPTCY_BEFORE = replace(CIVIL_BEFORE, name="Rule 9006 before 2009", court_days_below=8)
NOTE_CIVIL = "FRCP 6, committee note 2009, from memory"
NOTE_2005 = "FRCP 6(e), committee note 2005, from memory"
SLIDES = "slides of a bankruptcy court on the amendment of 2009, read"
DICK = "In re Dick, No. 05-56196 (Bankr. W.D. Tex. 2008), as told by a law blog, read"
CCP = "California Code of Civil Procedure, read in excerpts; worked"


def day(text: str) -> date:
    return date.fromisoformat(text)


def closed(first: str, last: str = "", **what: bool) -> Closure:
    return Closure(day(first), day(last or first), "closed by order", **what)


def local(text: str) -> Closure:
    return Closure(day(text), day(text), "Patriots' Day", is_holiday=True, is_local=True)


AFTER, BEFORE = Direction.AFTER, Direction.BEFORE
INACCESSIBLE = (closed("2007-08-31"),)
# rule, event, days, direction, way of service, closures, last day, where it is from
EXAMPLES = [
    (CIVIL, "2007-08-02", 30, AFTER, "", (), "2007-09-04", NOTE_CIVIL),
    (CIVIL, "2007-09-22", 21, BEFORE, "", (), "2007-08-31", NOTE_CIVIL),
    (CIVIL, "2007-09-22", 21, BEFORE, "", INACCESSIBLE, "2007-09-04", NOTE_CIVIL),
    (CIVIL, "2008-04-07", 14, AFTER, "", (local("2008-04-21"),), "2008-04-22", NOTE_CIVIL),
    (CIVIL, "2008-05-05", 14, BEFORE, "", (local("2008-04-21"),), "2008-04-21", NOTE_CIVIL),
    # Ten days by mail on a Friday: the Friday two weeks later, then Saturday, Sunday and Monday.
    (CIVIL_BEFORE, "2006-06-09", 10, AFTER, MAIL, (), "2006-06-26", NOTE_2005),
    # The same where that Monday is a holiday (Memorial Day).
    (CIVIL_BEFORE, "2006-05-12", 10, AFTER, MAIL, (), "2006-05-30", NOTE_2005),
    # Thirty days from a Wednesday end on a Friday: again Saturday, Sunday and Monday.
    (CIVIL_BEFORE, "2006-06-07", 30, AFTER, MAIL, (), "2006-07-10", NOTE_2005),
    # Eight days mostly lasted eight, seven never less than nine.
    (BANKRUPTCY_BEFORE, "2008-06-03", 8, AFTER, "", (), "2008-06-11", SLIDES),
    (BANKRUPTCY_BEFORE, "2008-06-03", 7, AFTER, "", (), "2008-06-12", SLIDES),
    # The twenty-fifth day before is a Saturday: the next countable day before it.
    (CIVIL, "2008-02-20", 25, BEFORE, "", (), "2008-01-25", DICK),
    # The twenty-fifth day after is a Sunday, then a Sunday before a holiday.
    (CIVIL, "2008-02-27", 25, AFTER, "", (), "2008-03-24", DICK),
    (CIVIL, "2008-05-01", 24, AFTER, "", (), "2008-05-27", DICK),
    # The last day is Thanksgiving: the Monday after, as the Friday is a holiday of the courts.
    (CALIFORNIA, "2010-11-15", 10, AFTER, "", (), "2010-11-29", CCP),
    # 1013(a): five calendar days more, ten, twenty.
    (CALIFORNIA, "2026-06-01", 30, AFTER, "mail", (), "2026-07-06", CCP),
    (CALIFORNIA, "2026-06-01", 30, AFTER, "mail from outside the state", (), "2026-07-13", CCP),
    (CALIFORNIA, "2026-06-01", 30, AFTER, "mail from outside the country", (), "2026-07-21", CCP),
    # 12c(b): the days for service are counted backward from the day that was found.
    (CALIFORNIA, "2026-06-30", 10, BEFORE, "mail", (), "2026-06-15", CCP),
    # 12b: a day on which the office is closed is as a holiday.
    (CALIFORNIA, "2026-06-01", 10, AFTER, "", (closed("2026-06-11"),), "2026-06-12", CCP),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "event", "days", "direction", "way", "closures", "end", "source"), EXAMPLES
)
def test_a_worked_example_comes_out(rule, event, days, direction, way, closures, end, source):
    found = count(rule, day(event), Period(days, Unit.DAYS, direction), way=way, closures=closures)
    assert (found.end, found.refused) == (day(end), ""), source
    assert found.steps[-1].when == found.end


PUBLISHED = json.loads(
    (Path(__file__).parents[1] / "reference/values.json").read_text(encoding="utf-8")
)["deadlines"]["open"]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["id"])
def test_the_examples_of_the_federal_deadline_come_out_by_the_rule_as_data(row):
    asked = row["input"]
    direction = Direction(asked.get("direction", "after"))
    closures = [local(one) for one in asked.get("state_holidays", [])]
    closures += [closed(one) for one in asked.get("clerk_inaccessible", [])]
    way = MAIL if asked.get("service_adds_3") else ""
    if "hours" in asked:
        trigger = datetime.fromisoformat(asked["trigger"]).replace(tzinfo=NEW_YORK)
        found = count(CIVIL, trigger, Period(asked["hours"], Unit.HOURS, direction))
        assert found.moment
        assert f"{found.moment:%Y-%m-%dT%H:%M}" == row["expected"]
        return
    period = Period(asked["days"], Unit.DAYS, direction)
    found = count(CIVIL, day(asked["trigger"]), period, way=way, closures=closures)
    assert f"{found.end} {found.end:%A}" == row["expected"]


quick = settings(max_examples=80, deadline=None)
EVENTS = st.dates(date(2012, 1, 1), date(2037, 12, 31))
ANY_RULE = st.builds(
    RuleSet,
    name=st.just("a rule"),
    source=st.just("invented"),
    calendar=st.sampled_from(["US", "US-CA", "US-TX", "none"]),
    counts_event_day=st.booleans(),
    court_days_below=st.sampled_from([0, 8, 11]),
    closed_weekdays=st.sampled_from([frozenset({5, 6}), frozenset({6}), frozenset()]),
    closed_as=st.sampled_from(ClosedAs),
    local_only_forward=st.booleans(),
    services=st.sampled_from([
        (Service("mail", 3),),
        (Service("mail", 5, added=Added.TO_PERIOD),),
        (Service("mail", 2, court_days=True, added=Added.TO_PERIOD),),
    ]),
)  # fmt: skip
CLOSURES = st.lists(
    st.builds(
        lambda first, length, is_holiday: Closure(
            first, first + length * DAY, "closed", is_holiday=is_holiday
        ),
        EVENTS, st.integers(0, 4), st.booleans(),
    ),
    max_size=3,
)  # fmt: skip


def may_end_on(rule: RuleSet, day: date, closures) -> bool:
    """Whether the rule lets a forward period end on a day, said a second time."""
    if day.weekday() in rule.closed_weekdays or teller_of(rule.calendar)(day):
        return False
    there = [one for one in closures if one.first <= day <= one.last]
    return not any(one.is_holiday or rule.closed_as is not ClosedAs.NOT for one in there)


@quick
@given(ANY_RULE, EVENTS, st.integers(1, 60), st.sampled_from(Direction), CLOSURES, st.booleans())
def test_a_period_ends_on_no_day_that_its_rule_excludes(
    rule, event, days, direction, closures, served
):
    if served and direction is BEFORE and rule.services[0].added is Added.AFTER_END:
        served = False
    way = "mail" if served else ""
    period = Period(days, Unit.DAYS, direction)
    found = count(rule, event, period, way=way, closures=closures)
    assert may_end_on(rule, found.end, closures)
    # And a later event never makes it end earlier.
    later = count(rule, event + DAY, period, way=way, closures=closures)
    assert later.end >= found.end


@quick
@given(EVENTS, st.integers(1, 400), st.sampled_from(Direction), st.booleans())
def test_the_federal_deadline_and_the_rule_as_data_agree(event, days, direction, served):
    served = served and direction is AFTER
    asked = {"trigger": event.isoformat(), "days": days, "direction": direction.value}
    if served:
        asked["service_adds_3"] = True
    found = count(CIVIL, event, Period(days, Unit.DAYS, direction), way=MAIL if served else "")
    assert calculate("deadlines", asked).outcome.value == f"{found.end} {found.end:%A}"


def test_the_steps_are_said_in_their_order_with_the_paragraph():
    # Served on Wednesday, November 25; Thanksgiving in between; the court closed on the last days.
    closures = [Closure(day("2026-12-09"), day("2026-12-10"), "closed, order of the court")]
    found = count(CIVIL, day("2026-11-25"), Period(14), way=BY_HAND, closures=closures)
    assert [step.words for step in found.steps] == [
        "25 Nov 2026: served: by hand, not counted itself ((a)(1)(A))",
        "+ 14: days, every day counted ((a)(1)(B))",
        "26 Nov 2026: Thanksgiving Day: in between, counted ((a)(1)(B))",
        "9 Dec 2026: closed, order of the court: the period does not end here ((a)(3))",
        "10 Dec 2026: closed, order of the court: the period does not end here ((a)(3))",
        "11 Dec 2026: Friday: the last day",
    ]
    assert found.warnings == ()


@pytest.mark.parametrize(
    ("rule", "event", "period", "way", "field"),
    [
        (CIVIL, day("2026-06-01"), Period(14), "carrier pigeon", "way"),
        (replace(CIVIL, calendar="US-XX"), day("2026-06-01"), Period(14), "", "calendar"),
        (CIVIL, day("2026-06-01"), Period(14, Unit.DAYS, BEFORE), MAIL, "way"),
        (CIVIL, datetime(2026, 6, 1, 9, tzinfo=NEW_YORK), Period(4, Unit.HOURS), MAIL, "way"),
        (CIVIL, day("2026-06-01"), Period(4, Unit.HOURS), "", "trigger"),
        (CIVIL, datetime(2026, 6, 1, 9), Period(4, Unit.HOURS), "", "trigger"),
        (CALIFORNIA, datetime(2026, 6, 1, 9, tzinfo=NEW_YORK), Period(4, Unit.HOURS), "", "unit"),
        (CIVIL, day("2026-06-01"), Period(0), "", "amount"),
        (CIVIL, day("2026-06-01"), Period(3651), "", "amount"),
        (CIVIL, day("2026-06-01"), Period(1001, Unit.COURT_DAYS), "", "amount"),
        (CIVIL, day("2026-06-01"), Period(2.5), "", "amount"),
        (CIVIL, day("1492-06-01"), Period(5), "", "trigger"),
        (CIVIL, day("2090-06-01"), Period(5), "", "trigger"),
        (replace(CIVIL, closed_weekdays=frozenset(range(7))), day("2026-06-01"), Period(5), "",
         "rule"),
    ],
)  # fmt: skip
def test_what_the_rule_does_not_answer_is_refused_in_words(rule, event, period, way, field):
    found = count(rule, event, period, way=way)
    assert (found.end, found.moment, found.field) == (None, None, field)
    assert found.refused.endswith((".", "counsel."))


def test_court_days_leave_out_the_days_on_which_the_court_is_closed():
    # From Wednesday, November 25, 2026: the 26th is a holiday, the 30th closed.
    period = Period(3, Unit.COURT_DAYS)
    found = count(CIVIL, day("2026-11-25"), period, closures=[closed("2026-11-30")])
    assert found.end == day("2026-12-02")
    assert found.steps[1].words == "+ 3: court days, days on which the court is closed left out"


def test_the_day_of_the_event_counts_where_the_rule_says_so():
    counted = replace(CIVIL, counts_event_day=True)
    assert count(counted, day("2026-06-01"), Period(1)).end == day("2026-06-01")
    assert count(counted, day("2026-06-01"), Period(5, Unit.DAYS, BEFORE)).end == day("2026-05-28")
    assert "counted (" in count(counted, day("2026-06-01"), Period(1)).steps[0].words


def test_an_end_goes_where_the_rule_says():
    # 2026-06-06 is a Saturday.
    stays = replace(CIVIL, forward=Moves.STAYS, backward=Moves.STAYS)
    assert count(stays, day("2026-06-01"), Period(5)).end == day("2026-06-06")
    to_next = replace(CIVIL, backward=Moves.NEXT)
    period = Period(4, Unit.DAYS, BEFORE)
    assert count(to_next, day("2026-06-10"), period).end == day("2026-06-08")
    assert count(CIVIL, day("2026-06-10"), period).end == day("2026-06-05")


def test_a_local_holiday_counts_backward_too_where_the_rule_says_nothing_else():
    # 2008-04-21 is a Monday: back to Friday.
    both_ways = replace(CIVIL, local_only_forward=False)
    period = Period(14, Unit.DAYS, BEFORE)
    found = count(both_ways, day("2008-05-05"), period, closures=[local("2008-04-21")])
    assert found.end == day("2008-04-18")


def test_hours_go_on_at_the_same_time_and_across_a_change_of_the_clocks():
    friday = datetime(2026, 6, 5, 10, tzinfo=NEW_YORK)
    found = count(CIVIL, friday, Period(30, Unit.HOURS))
    assert found.moment == datetime(2026, 6, 8, 16, tzinfo=NEW_YORK)
    assert found.warnings == ()
    changed = count(CIVIL, datetime(2007, 11, 2, 10, 23, tzinfo=NEW_YORK), Period(72, Unit.HOURS))
    assert f"{changed.moment:%Y-%m-%d %H:%M}" == "2007-11-05 09:23"
    assert any("clocks change" in one for one in changed.warnings)
    assert zone_moment(datetime(2026, 3, 8, 2, 30), NEW_YORK) is None
    # A month in days keeps no hour.
    assert count(CIVIL, friday, Period(1)).moment is None


def test_doubts_are_warned_of():
    # Friday 2026-07-03 stands for Saturday 2026-07-04.
    found = count(CIVIL, day("2026-06-19"), Period(14))
    assert found.end == day("2026-07-06")
    assert len([one for one in found.warnings if "Friday" in one]) == 1
    assert any("before 1 Dec 2009" in one for one in
               count(CIVIL, day("2008-06-02"), Period(14)).warnings)  # fmt: skip
    assert count(CIVIL, day("2009-12-01"), Period(14)).warnings == ()
    assert count(replace(CIVIL, calendar="US-CA"), day("2026-06-19"), Period(14)).warnings


def test_a_state_has_its_own_holidays():
    codes = {name.removeprefix("US-") for name in calendar_names()} - {"US", "none"}
    assert codes == {*holidays.country_holidays("US").subdivisions}
    california = teller_of("US-CA")
    assert california(day("2026-03-31")) and not teller_of("US")(day("2026-03-31"))
    assert california(day("2027-07-05")) == ("Independence Day, observed", False)
    assert teller_of("none")(day("2026-12-25")) is None


def test_every_rule_that_comes_along_names_its_paragraphs_and_ways():
    for rule in SHIPPED.values():
        assert {"event", "days", "end", "hours", "closed", "backward", "service"} == {
            *rule.paragraphs
        }
        assert rule.service(MAIL).days == 3
        assert rule.service("electronic").days == 0
        assert rule.since == date(2009, 12, 1)
