"""Which days are holidays in a named calendar: the federal one, or that of a state.

The federal days are computed here (`federal_holidays`). Those of a state come from the library
`holidays`; a court of the state may keep others, which the office adds as closures.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import lru_cache

from findings.calculations.federal_holidays import holiday_on

FEDERAL = "US"
NO_HOLIDAYS = "none"
FIRST_YEAR, LAST_YEAR = 1986, 2099
_OBSERVED = " (observed)"
# States, the district and the territories, as the library names them.
_CODES = (
    "AK AL AR AS AZ CA CO CT DC DE FL GA GU HI IA ID IL IN KS KY LA MA MD ME MI MN MO MP MS MT NC "
    "ND NE NH NJ NM NV NY OH OK OR PA PR RI SC SD TN TX UM UT VA VI VT WA WI WV WY"
)

# Why a day is kept (None on a day of business), and whether it is kept only in place of a Saturday.
Kept = tuple[str, bool]
HolidayTeller = Callable[[date], Kept | None]


def calendar_names() -> tuple[str, ...]:
    """Return the names of the calendars: the federal one, each state and territory, and none."""
    return (FEDERAL, *(f"US-{code}" for code in _CODES.split()), NO_HOLIDAYS)


def teller_of(name: str) -> HolidayTeller | None:
    """Return who tells the holidays of a calendar; None for a name that is not known."""
    if name == FEDERAL:
        return _federal
    if name == NO_HOLIDAYS:
        return lambda day: None
    if name not in calendar_names():
        return None
    code = name.removeprefix("US-")
    return lambda day: _of_state(code, day)


def _federal(day: date) -> Kept | None:
    found = holiday_on(day)
    if found is None:
        return None
    if found.actual == day:
        return found.name, False
    return f"{found.name}, observed for {found.actual.isoformat()}", day < found.actual


@lru_cache(maxsize=256)
def _days_of_state(code: str, year: int) -> dict[date, str]:
    from holidays import country_holidays  # a quarter of a second, which few processes need

    return dict(country_holidays("US", subdiv=code, years=[year]).items())


def _of_state(code: str, day: date) -> Kept | None:
    name = _days_of_state(code, day.year).get(day)
    if name is None:
        return None
    is_friday_for_saturday = day.weekday() == 4 and name.endswith(_OBSERVED)
    return name.replace(_OBSERVED, ", observed"), is_friday_for_saturday
