"""Legal holidays of the United States federal government, computed for a year.

5 U.S.C. 6103(a) lists the days. A holiday on a Saturday is observed on the Friday before
(6103(b)), one on a Sunday on the Monday after (Executive Order 11582, section 3(a)). Federal Rule
of Civil Procedure 6(a)(6)(A) speaks of the day set aside by statute for observing them: here
both the true day and the observed day count, and a result that rests on the second says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

MONDAY, THURSDAY, SATURDAY, SUNDAY = 0, 3, 5, 6


@dataclass(frozen=True)
class Holiday:
    """One legal holiday: its own day and the day on which it is observed."""

    name: str
    actual: date
    observed: date


def _nth(year: int, month: int, weekday: int, number: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (number - 1))


def _last_monday_of_may(year: int) -> date:
    last = date(year, 5, 31)
    return last - timedelta(days=last.weekday())


# Name, day, first year as a federal holiday in its present place in the calendar.
_RULES: tuple[tuple[str, Callable[[int], date], int], ...] = (
    ("New Year's Day", lambda year: date(year, 1, 1), 1971),
    ("Birthday of Martin Luther King, Jr.", lambda year: _nth(year, 1, MONDAY, 3), 1986),
    ("Washington's Birthday", lambda year: _nth(year, 2, MONDAY, 3), 1971),
    ("Memorial Day", _last_monday_of_may, 1971),
    ("Juneteenth National Independence Day", lambda year: date(year, 6, 19), 2021),
    ("Independence Day", lambda year: date(year, 7, 4), 1971),
    ("Labor Day", lambda year: _nth(year, 9, MONDAY, 1), 1971),
    ("Columbus Day", lambda year: _nth(year, 10, MONDAY, 2), 1971),
    ("Veterans Day", lambda year: date(year, 11, 11), 1978),
    ("Thanksgiving Day", lambda year: _nth(year, 11, THURSDAY, 4), 1971),
    ("Christmas Day", lambda year: date(year, 12, 25), 1971),
)


def _observed(day: date) -> date:
    if day.weekday() == SATURDAY:
        return day - timedelta(days=1)
    if day.weekday() == SUNDAY:
        return day + timedelta(days=1)
    return day


@lru_cache(maxsize=256)
def holidays_of(year: int) -> tuple[Holiday, ...]:
    """The holidays whose own day lies in the year, in order of the calendar."""
    return tuple(
        Holiday(name, rule(year), _observed(rule(year)))
        for name, rule, first_year in _RULES
        if year >= first_year
    )


@lru_cache(maxsize=256)
def holiday_on(day: date) -> Holiday | None:
    """The holiday that is kept or observed on a day, or None."""
    for year in (day.year, day.year + 1):
        for holiday in holidays_of(year):
            if day in (holiday.actual, holiday.observed):
                return holiday
    return None
