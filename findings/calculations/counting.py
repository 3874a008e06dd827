"""The last day of a period by a rule of counting that is data.

A rule says whether the day of the event counts, whether short periods count court days alone, on
which days a period may not end and where its end goes then, what a way of service adds, whether
hours are counted, and by which paragraph each of it is so. The count says its steps in words. What
the rule does not answer is refused in words, never assumed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from enum import StrEnum

from findings.calculations.holiday_calendars import (
    FEDERAL,
    FIRST_YEAR,
    LAST_YEAR,
    HolidayTeller,
    teller_of,
)

DAY = timedelta(days=1)
SATURDAY, SUNDAY = 5, 6
# Not strftime, which would follow the locale of the machine.
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NO_SERVICE = ""


class Unit(StrEnum):
    """In what a period is stated."""

    DAYS = "days"  # counted as the rule counts days
    COURT_DAYS = "court days"  # the rule or order that gives the period says so
    HOURS = "hours"


MOST = {Unit.DAYS: 3650, Unit.COURT_DAYS: 1000, Unit.HOURS: 8760}


class Direction(StrEnum):
    """Whether the period runs after the event or before it."""

    AFTER = "after"
    BEFORE = "before"


class Moves(StrEnum):
    """Where an end goes that falls on a day on which a period may not end."""

    NEXT = "next"
    PREVIOUS = "previous"
    STAYS = "stays"


class Added(StrEnum):
    """To what the days of a way of service are added."""

    AFTER_END = "after the end"
    TO_PERIOD = "to the period"


class ClosedAs(StrEnum):
    """What a rule makes of a day on which the court's office is closed."""

    FORWARD = "next open day"  # always forward, also for a period that runs backward
    HOLIDAY = "as a holiday"
    NOT = "not at all"


@dataclass(frozen=True)
class Service:
    """What one way of service adds."""

    way: str
    days: int = 0
    court_days: bool = False
    added: Added = Added.AFTER_END


@dataclass(frozen=True)
class RuleSet:
    """A rule of counting as data; `paragraphs` names the place in the rule for each step."""

    name: str
    source: str
    calendar: str = FEDERAL
    counts_event_day: bool = False
    court_days_below: int = 0  # a shorter period counts court days alone; 0 for none
    closed_weekdays: frozenset[int] = frozenset({SATURDAY, SUNDAY})
    forward: Moves = Moves.NEXT
    backward: Moves = Moves.PREVIOUS
    closed_as: ClosedAs = ClosedAs.FORWARD
    local_only_forward: bool = False  # the state's holidays count only for periods after an event
    services: tuple[Service, ...] = ()
    counts_hours: bool = True
    since: date | None = None
    paragraphs: Mapping[str, str] = field(default_factory=dict)

    def service(self, way: str) -> Service | None:
        """Return what a way of service adds; None where the rule does not name the way."""
        return next((one for one in self.services if one.way == way), None)


@dataclass(frozen=True)
class Closure:
    """Days on which a court does no business: its office closed, its own or a declared holiday."""

    first: date
    last: date
    why: str
    is_holiday: bool = False
    is_local: bool = False  # a holiday of the state or the court, not of the nation

    def holds(self, day: date) -> bool:
        """Tell whether the day is one of them."""
        return self.first <= day <= self.last


@dataclass(frozen=True)
class Period:
    """What is to be counted."""

    amount: float
    unit: Unit = Unit.DAYS
    direction: Direction = Direction.AFTER


@dataclass(frozen=True)
class Step:
    """One line of a count: the day or what was added, what it is, and by which paragraph."""

    when: date | None
    added: str
    what: str
    why: str = ""

    @property
    def words(self) -> str:
        """The line in one sentence."""
        first = day_words(self.when) if self.when else self.added
        return f"{first}: {self.what}{f' ({self.why})' if self.why else ''}"


@dataclass(frozen=True)
class Count:
    """The last day, or why none was counted; `moment` is the end of a period in hours."""

    end: date | None
    moment: datetime | None = None
    steps: tuple[Step, ...] = ()
    warnings: tuple[str, ...] = ()
    refused: str = ""
    field: str = ""  # what was asked for that could not be counted


class Refusal(Exception):
    """Something the rule does not answer; `field` is what was asked."""

    def __init__(self, why: str, field: str) -> None:
        super().__init__(why)
        self.why, self.field = why, field


def day_words(day: date) -> str:
    """A day as it is read: 9 Dec 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def next_open(day: date, step: timedelta, passes: Callable[[date], bool]) -> date:
    """Return the day itself, or the next in the step's direction that is not passed over."""
    while passes(day):
        day += step
    return day


def first_accessible(
    day: date, is_inaccessible: Callable[[date], bool], passes: Callable[[date], bool]
) -> date:
    """Return the first day from this one on that is open and accessible, always forward."""
    while is_inaccessible(day):
        day = next_open(day + DAY, DAY, passes)
    return day


def after_hours(trigger: datetime, hours: float) -> datetime:
    """Return the moment so many elapsed hours later (or earlier) in the trigger's own zone."""
    return (trigger.astimezone(UTC) + timedelta(hours=hours)).astimezone(trigger.tzinfo)


def same_clock_on(day: date, end: datetime) -> datetime:
    """Return the same time of another day; one that daylight saving skips an hour later."""
    moved = datetime.combine(day, end.time(), tzinfo=end.tzinfo)
    return moved.astimezone(UTC).astimezone(end.tzinfo)


def count(
    rule: RuleSet,
    trigger: date | datetime,
    period: Period,
    *,
    way: str = NO_SERVICE,
    closures: Iterable[Closure] = (),
) -> Count:
    """Count a period by a rule. `way` is how it was served; empty where nothing was served."""
    try:
        return _Counting(rule, period, way, tuple(closures)).run(trigger)
    except Refusal as refused:
        return Count(None, refused=refused.why, field=refused.field)


def court_days_between(
    rule: RuleSet, after: date, until: date, closures: Iterable[Closure] = ()
) -> int:
    """Return on how many days after one, up to and with the other, the court is open."""
    counting = _Counting(rule, Period(1), NO_SERVICE, tuple(closures))
    days = (after + n * DAY for n in range(1, (until - after).days + 1))
    return sum(counting.is_open(day) for day in days)


class _Counting:
    """One count: the rule, what is asked, and the steps so far."""

    def __init__(
        self, rule: RuleSet, period: Period, way: str, closures: tuple[Closure, ...]
    ) -> None:
        teller = teller_of(rule.calendar)
        if teller is None:
            raise Refusal(f"The calendar of holidays {rule.calendar} is not known.", "calendar")
        self.rule, self.period = rule, period
        self.holiday: HolidayTeller = teller
        self.is_before = period.direction is Direction.BEFORE
        self.closures = closures
        self.steps: list[Step] = []
        self.warnings: list[str] = []
        self.service = self._service(way)
        self._require_period()

    def _service(self, way: str) -> Service | None:
        if way == NO_SERVICE:
            return None
        found = self.rule.service(way)
        if found is None:
            raise Refusal(
                f"{self.rule.name} does not say what service “{way}” adds. Add the way to the rule,"
                " or ask counsel.",
                "way",
            )
        if found.days and self.is_before and found.added is Added.AFTER_END:
            raise Refusal(
                "The days for the way of service apply only to a period after service.", "way"
            )
        if found.days and self.period.unit is Unit.HOURS:
            raise Refusal("The days for the way of service apply only to a period in days.", "way")
        return found

    def _require_period(self) -> None:
        if len(self.rule.closed_weekdays) > SUNDAY:
            raise Refusal(f"{self.rule.name} leaves no day on which a period may end.", "rule")
        amount, unit = self.period.amount, self.period.unit
        most = MOST[unit]
        if not 0 < amount <= most:
            raise Refusal(f"Give a period of 1 to {most} {unit}.", "amount")
        if unit is Unit.HOURS:
            if not self.rule.counts_hours:
                raise Refusal(f"{self.rule.name} does not say how hours are counted.", "unit")
        elif amount != int(amount):
            raise Refusal("Give whole days.", "amount")

    def run(self, trigger: date | datetime) -> Count:
        if not FIRST_YEAR <= trigger.year <= LAST_YEAR - 11:
            raise Refusal(
                f"The event must lie in the years {FIRST_YEAR} to {LAST_YEAR - 11}.", "trigger"
            )
        if self.period.unit is Unit.HOURS:
            if not isinstance(trigger, datetime) or trigger.tzinfo is None:
                raise Refusal("Give the hour of the event for a period in hours.", "trigger")
            moment = self._in_hours(trigger)
            end, event = moment.date(), trigger.date()
        else:
            event = trigger.date() if isinstance(trigger, datetime) else trigger
            end, moment = self._in_days(event), None
        if self.rule.since and event < self.rule.since:
            self.warnings.append(
                f"The event was before {day_words(self.rule.since)}: counted by the present rule "
                "all the same."
            )
        return Count(end, moment, tuple(self.steps), tuple(dict.fromkeys(self.warnings)))

    # --- which days

    def _why_closed(self, day: date) -> str:
        """Why a period may not end on a day; empty on a day of business."""
        if day.weekday() in self.rule.closed_weekdays:
            return WEEKDAYS[day.weekday()]
        kept = self.holiday(day)
        if kept:
            name, is_friday_for_saturday = kept
            if is_friday_for_saturday:
                self.warnings.append(
                    f"{day_words(day)} is a Friday kept for a holiday on Saturday: ask whether the "
                    "court counts that day."
                )
            return name
        for one in self.closures:
            if not one.holds(day):
                continue
            if one.is_holiday:
                if not (one.is_local and self.is_before and self.rule.local_only_forward):
                    return one.why
            elif self.rule.closed_as is ClosedAs.HOLIDAY:
                return one.why
        return ""

    def _why_inaccessible(self, day: date) -> str:
        if self.rule.closed_as is not ClosedAs.FORWARD:
            return ""
        found = (one for one in self.closures if not one.is_holiday and one.holds(day))
        return next((one.why for one in found), "")

    def is_open(self, day: date) -> bool:
        """Tell whether a day is a court day: one on which the court is open."""
        return not (self._why_closed(day) or self._why_inaccessible(day))

    # --- in days

    def _in_days(self, event: date) -> date:
        step = -DAY if self.is_before else DAY
        amount = int(self.period.amount)
        to_period = self.service if self.service and self.service.added is Added.TO_PERIOD else None
        self._tell_event(event)
        by_court_days = self._counts_court_days(amount)
        start = event - step if self.rule.counts_event_day else event
        end = self._counted(start, amount, step, by_court_days, "days")
        if to_period and to_period.days:
            end = self._counted(
                end, to_period.days, step, to_period.court_days, f"service: {to_period.way}"
            )
        end = self._moved(end, step)
        if self.service and self.service.added is Added.AFTER_END and self.service.days:
            end = self._counted(
                end, self.service.days, DAY, self.service.court_days,
                f"service: {self.service.way}",
            )  # fmt: skip
            end = self._moved(end, DAY)
        self._tell_end(end)
        return end

    def _counts_court_days(self, amount: int) -> bool:
        if self.period.unit is Unit.COURT_DAYS:
            return True
        return amount < self.rule.court_days_below

    def _counted(
        self, start: date, amount: int, step: timedelta, by_court_days: bool, what: str
    ) -> date:
        if by_court_days:
            end, left = start, amount
            while left:
                end += step
                left -= self.is_open(end)
        else:
            end = start + amount * step
        self._tell_counted(amount, step, by_court_days, what)
        if what == "days" and not by_court_days:
            self._tell_between(start, end, step)
        return end

    def _moved(self, end: date, step: timedelta) -> date:
        """The end itself, or the day to which the rule moves it."""
        how = self.rule.backward if step < timedelta(0) else self.rule.forward
        if how is not Moves.STAYS:
            toward = -DAY if how is Moves.PREVIOUS else DAY
            while why := self._why_closed(end):
                self._tell_passed(end, why, self._paragraph("backward" if toward < DAY else "end"))
                end += toward
        while why := self._why_inaccessible(end):
            self._tell_passed(end, why, self._paragraph("closed"))
            end += DAY
            while reason := self._why_closed(end):
                self._tell_passed(end, reason, self._paragraph("end"))
                end += DAY
        return end

    # --- in hours

    def _in_hours(self, trigger: datetime) -> datetime:
        hours = self.period.amount
        event = trigger.date()
        clock = f"{trigger:%H:%M}"
        self.steps.append(Step(event, "", f"the event, at {clock}", self._paragraph("hours")))
        end = after_hours(trigger, -hours if self.is_before else hours)
        sign = "−" if self.is_before else "+"
        self.steps.append(
            Step(None, f"{sign} {hours:g}", "hours, every hour counted", self._paragraph("hours"))
        )
        day = self._moved(end.date(), -DAY if self.is_before else DAY)
        if day != end.date():
            end = same_clock_on(day, end)
        if trigger.utcoffset() != end.utcoffset():
            self.warnings.append("The clocks change between the event and the end.")
        self._tell_end(end.date(), f"{end:%H:%M}")
        return end

    # --- words

    def _paragraph(self, key: str) -> str:
        return self.rule.paragraphs.get(key, "")

    def _tell_event(self, event: date) -> None:
        what = f"served: {self.service.way}" if self.service else "the event"
        counts = "counted" if self.rule.counts_event_day else "not counted itself"
        self.steps.append(Step(event, "", f"{what}, {counts}", self._paragraph("event")))

    def _tell_counted(self, amount: int, step: timedelta, by_court_days: bool, what: str) -> None:
        sign = "−" if step < timedelta(0) else "+"
        unit = "court day" if by_court_days else "day"
        days = unit if amount == 1 else f"{unit}s"
        if what == "days":
            every = "days on which the court is closed left out" if by_court_days else (
                "every day counted"
            )  # fmt: skip
            key = "court days" if by_court_days else "days"
            self.steps.append(Step(None, f"{sign} {amount}", f"{days}, {every}",
                                   self._paragraph(key)))  # fmt: skip
        else:
            self.steps.append(
                Step(None, f"{sign} {amount}", f"{days} for {what}", self._paragraph("service"))
            )

    def _tell_between(self, start: date, end: date, step: timedelta) -> None:
        """Say of the holidays in between that they are counted: who reads asks for them."""
        day = start + step
        told = 0
        while day != end and told < 3:
            kept = self.holiday(day)
            if kept and day.weekday() not in self.rule.closed_weekdays:
                self.steps.append(
                    Step(day, "", f"{kept[0]}: in between, counted", self._paragraph("days"))
                )
                told += 1
            day += step

    def _tell_passed(self, day: date, why: str, paragraph: str) -> None:
        self.steps.append(Step(day, "", f"{why}: the period does not end here", paragraph))

    def _tell_end(self, end: date, clock: str = "") -> None:
        at = f" at {clock}" if clock else ""
        self.steps.append(Step(end, "", f"{WEEKDAYS[end.weekday()]}{at}: the last day"))


def zone_moment(day: datetime, zone: tzinfo) -> datetime | None:
    """Return a clock time in a zone; None where daylight saving skips it."""
    local = day.replace(tzinfo=zone)
    back = local.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    return local if back == day else None
