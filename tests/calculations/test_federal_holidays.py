"""Legal holidays against an outside calendar, computed afresh and not out of a cache."""

import json
from datetime import date
from pathlib import Path

from findings.calculations.federal_holidays import Holiday, holidays_of

OUTSIDE = json.loads(Path(__file__).with_name("federal_days.json").read_text(encoding="utf-8"))


def of_year(year: int) -> tuple[Holiday, ...]:
    return holidays_of.__wrapped__(year)


def test_every_own_and_observed_day_is_that_of_the_outside_calendar() -> None:
    # The PyPI package holidays 0.109, own and observed days of the United States, 2010 to 2040.
    for year, days in OUTSIDE["days"].items():
        near = of_year(int(year)) + of_year(int(year) + 1)
        ours = {day for one in near for day in (one.actual, one.observed)}
        assert sorted(f"{day:%m-%d}" for day in ours if day.year == int(year)) == days, year


def test_a_holiday_at_a_weekend_is_observed_on_the_nearest_weekday() -> None:
    # 5 U.S.C. 6103(b) and Executive Order 11582, section 3(a); weekdays as printed in calendars:
    # July 4 was a Friday in 2025, will be a Saturday in 2026, a Sunday in 2027, a Tuesday in 2028.
    observed = {
        year: next(one.observed for one in of_year(year) if one.name == "Independence Day")
        for year in (2025, 2026, 2027, 2028)
    }
    assert observed == {
        2025: date(2025, 7, 4),
        2026: date(2026, 7, 3),
        2027: date(2027, 7, 5),
        2028: date(2028, 7, 4),
    }
