"""The last day of a period under Federal Rule of Civil Procedure 6.

Counts a period in days or hours forward or backward from an event, moves an end on a weekend or
legal holiday as the rule says, extends for a closed clerk's office, and adds three days for
certain ways of service.

Formula:
    6(a)(1): leave out the day of the event, count every day; an end on a Saturday, Sunday or legal
    holiday goes on in the same direction to the next other day
    6(a)(2): count every hour from the event without rounding; a weekend or holiday end goes on to
    the same time of the next other day
    6(a)(3): clerk's office inaccessible: the first accessible day after, also for backward periods
    6(a)(6)(C): holidays of the state count only for periods after an event
    6(d): three days after the period as it would otherwise end, then as above again

Range:
    Federal civil cases; periods that do not give their own method; 1 to 3650 days or 1 to 8760
    hours; years 1986 to 2199. A date that the court has fixed is not computed at all.

Sources:
    - Federal Rules of Civil Procedure, Rule 6 (text read on public copies).
    - Committee note 2009 (its examples; those of 2008-04-21 and 72 hours from memory, those of
      2007-09-01 read in the parallel appellate note).
    - Committee note 2005 on adding the three days (from memory).
    - 5 U.S.C. 6103; Executive Order 11582, section 3(a).

Cautions:
    - A reminder, not legal advice: ask the office's counsel. State courts have their own rules,
      and most subpoenas to the office are under state law.
    - For a holiday on a Saturday both that day and the observed Friday are treated as legal
      holidays; where the result rests on that, it says so.
    - Days of mourning and other days declared by the President or Congress are not in the computed
      list: add them.
    - The last day ends at midnight in the court's zone for electronic filing, otherwise when the
      clerk's office is scheduled to close (6(a)(4)).
    - The three days of 6(d) apply to service by mail, by leaving it with the clerk and by other
      means agreed to; not to electronic service since 2016.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from findings.calculations.counting import (
    DAY,
    WEEKDAYS,
    after_hours,
    first_accessible,
    next_open,
    same_clock_on,
    zone_moment,
)
from findings.calculations.federal_holidays import SATURDAY, holiday_on
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain, refusal

FIRST_YEAR, LAST_YEAR = 1986, 2199
RULE_SINCE = date(2009, 12, 1)  # the present way of counting; earlier events are a warning
SERVICE_DAYS = 3
AFTER, BEFORE = "after", "before"


@dataclass
class Calendar:
    """Which days count as days of business for one period, and what was passed over."""

    state_holidays: frozenset[date] = frozenset()
    declared: frozenset[date] = frozenset()
    inaccessible: frozenset[date] = frozenset()
    notices: list[str] = field(default_factory=list)
    rests_on_friday: bool = False

    def closed_because(self, day: date) -> str | None:
        """Why a day cannot be the last day, or None."""
        if day.weekday() >= SATURDAY:
            return WEEKDAYS[day.weekday()]
        holiday = holiday_on(day)
        if holiday and holiday.actual == day:
            return holiday.name
        if holiday:
            self.rests_on_friday = self.rests_on_friday or day < holiday.actual
            return f"{holiday.name}, observed for {holiday.actual.isoformat()}"
        if day in self.state_holidays:
            return "state holiday"
        return "declared holiday" if day in self.declared else None

    def passes(self, day: date) -> bool:
        """Whether the period runs on over this day; notes why."""
        reason = self.closed_because(day)
        if reason:
            self.notices.append(f"{day.isoformat()} is passed over: {reason}")
        return reason is not None

    def is_inaccessible(self, day: date) -> bool:
        """Whether the clerk's office could not be reached that day; notes it."""
        if day in self.inaccessible:
            self.notices.append(f"{day.isoformat()} is passed over: clerk's office inaccessible")
            return True
        return False


def last_day(
    trigger: date, days: int, *, is_before: bool, adds_service_days: bool, calendar: Calendar
) -> date:
    """The last day of a period in days."""
    step = -DAY if is_before else DAY
    end = _open_and_accessible(trigger + days * step, step, calendar)
    if adds_service_days:
        calendar.notices.append(f"three days of 6(d) are added after {end.isoformat()}")
        end = _open_and_accessible(end + SERVICE_DAYS * DAY, DAY, calendar)
    return end


def _open_and_accessible(day: date, step: timedelta, calendar: Calendar) -> date:
    day = next_open(day, step, calendar.passes)
    return first_accessible(day, calendar.is_inaccessible, calendar.passes)


def last_hour(trigger: datetime, hours: float, *, is_before: bool, calendar: Calendar) -> datetime:
    """The end of a period in hours; `trigger` carries its zone, hours are elapsed time."""
    end = after_hours(trigger, -hours if is_before else hours)
    day = _open_and_accessible(end.date(), -DAY if is_before else DAY, calendar)
    return end if day == end.date() else same_clock_on(day, end)


def _zoned_trigger(inputs: Inputs) -> datetime:
    try:
        zone = ZoneInfo(inputs.text("zone"))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadInput("zone", "is not a time zone like America/New_York") from None
    text = inputs.text("trigger")
    try:
        trigger = datetime.fromisoformat(text)
    except ValueError:
        trigger = None
    if trigger is None or "T" not in text.upper().replace(" ", "T"):
        raise BadInput("trigger", "must be a date and time like 2026-06-05T10:23")
    if not FIRST_YEAR <= trigger.year <= LAST_YEAR:
        raise BadInput("trigger", f"must lie in the years {FIRST_YEAR} to {LAST_YEAR}")
    if trigger.tzinfo is not None:
        return trigger.astimezone(zone)
    local = zone_moment(trigger, zone)
    if local is None:
        raise BadInput("trigger", "is a time that daylight saving skips in this zone")
    return local


def _trigger_day(inputs: Inputs) -> date:
    text = inputs.text("trigger")
    try:
        day = date.fromisoformat(text[:10]) if len(text) > 10 else date.fromisoformat(text)
    except ValueError:
        raise BadInput("trigger", "must be a date like 2026-06-05") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise BadInput("trigger", f"must lie in the years {FIRST_YEAR} to {LAST_YEAR}")
    return day


def _calendar(inputs: Inputs, is_before: bool) -> Calendar:
    state: list[date] = inputs.values.get("state_holidays", [])
    return Calendar(
        # 6(a)(6)(C): state holidays count only for periods measured after an event.
        state_holidays=frozenset() if is_before else frozenset(state),
        declared=frozenset(inputs.values.get("declared_holidays", [])),
        inaccessible=frozenset(inputs.values.get("clerk_inaccessible", [])),
    )


def _outcome(answer: str, unit: str, first: date, calendar: Calendar) -> Outcome:
    warnings = []
    if calendar.rests_on_friday:
        warnings.append(
            "rests on a Saturday holiday observed on Friday: ask whether the court counts that day"
        )
    if first < RULE_SINCE:
        warnings.append("event before 2009-12-01: counted by the present rule all the same")
    notices: list[Plain] = list(calendar.notices)
    return Outcome(
        fields={"deadline": answer, "passed_over": notices},
        value=answer,
        unit=unit,
        warnings=tuple(warnings),
    )


def _in_days(inputs: Inputs, is_before: bool) -> Outcome:
    adds = inputs.flag("service_adds_3")
    if adds and is_before:
        raise BadInput("service_adds_3", "applies only to periods after service")
    trigger, calendar = _trigger_day(inputs), _calendar(inputs, is_before)
    end = last_day(
        trigger,
        int(inputs.number("days")),
        is_before=is_before,
        adds_service_days=adds,
        calendar=calendar,
    )
    return _outcome(f"{end.isoformat()} {WEEKDAYS[end.weekday()]}", "date", trigger, calendar)


def _in_hours(inputs: Inputs, is_before: bool) -> Outcome:
    if inputs.flag("service_adds_3"):
        raise BadInput("service_adds_3", "applies only to periods in days")
    trigger, calendar = _zoned_trigger(inputs), _calendar(inputs, is_before)
    end = last_hour(trigger, inputs.number("hours"), is_before=is_before, calendar=calendar)
    text = end.replace(tzinfo=None).isoformat(timespec="minutes")
    return _outcome(text, "local time", trigger.date(), calendar)


def compute(inputs: Inputs) -> Outcome:
    """The last day or hour of the period."""
    if inputs.flag("fixed_by_court"):
        return refusal(
            "the court has fixed the date: it is not computed", fields={"deadline": None}
        )
    is_before = inputs.text("direction", AFTER) == BEFORE
    if inputs.has("days") == inputs.has("hours"):
        raise BadInput("days", "give the period either in days or in hours")
    ways: dict[bool, Callable[[Inputs, bool], Outcome]] = {True: _in_days, False: _in_hours}
    return ways[inputs.has("days")](inputs, is_before)


METHOD = define(
    __doc__,
    name="deadlines",
    other_names=("deadline",),
    title="Deadline under Federal Rule 6",
    version="1.0",
    fields=(
        Field(
            "trigger",
            Kind.TEXT,
            "Date of the event (or its date and time, for hours).",
            required=True,
        ),
        Field("days", Kind.INTEGER, "Length of the period.", "days", minimum=1, maximum=3650),
        Field("hours", Kind.NUMBER, "Length of the period.", "h", above=0, maximum=8760),
        Field(
            "direction",
            Kind.CHOICE,
            "After the event (if not given) or before it.",
            choices=(AFTER, BEFORE),
        ),
        Field("service_adds_3", Kind.FLAG, "Whether 6(d) adds three days for the way of service."),
        Field("zone", Kind.TEXT, "The court's time zone, for hours."),
        Field("state_holidays", Kind.DATES, "Holidays of the state where the court sits."),
        Field("declared_holidays", Kind.DATES, "Days declared by the President or Congress."),
        Field(
            "clerk_inaccessible", Kind.DATES, "Days on which the clerk's office was inaccessible."
        ),
        Field("fixed_by_court", Kind.FLAG, "Whether the court itself has fixed the date."),
    ),
    result_fields=(
        ResultField("deadline", "date or local time", "The last day, or the last moment."),
        ResultField("passed_over", "", "Which days were passed over, and why."),
    ),
    example={"trigger": "2026-06-05", "days": 30, "direction": "after", "service_adds_3": True},
    compute=compute,
)
