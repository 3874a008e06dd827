"""Periods, ages and what is compared with what, in whole days of the office. No database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum

from me_office.statements import statement

# Of fewer than this many no percentage is shown, only the numbers.
FEWEST_FOR_PERCENT = 10
DAYS_SHOWN = (30, 60, 90)
TARGET_DAYS, TARGET_PERCENT = 90, 90
RECOMMENDED_A_YEAR, LIMIT_A_YEAR = 250, 325
AUTOPSIES = ("full autopsy", "limited", "second autopsy")
EXTERNAL = "external"
# Upper ends of the groups of ages, in days; the last group has none.
AGE_ENDS = (30, 60, 90, 180)

TURN_AROUND = statement(
    "measures.turn-around",
    "A goal of accredited offices, after the National Association of Medical Examiners: 90 percent "
    "of reports finished 90 calendar days after the autopsy or sooner. Which reports count, and "
    "from and to which day, its current checklist decides.",
    where="Measures",
    source="National Association of Medical Examiners, accreditation; source not checked",
)
WORKLOAD = statement(
    "measures.workload",
    "At most 250 autopsies a year for one pathologist are recommended, and 325 are never to be "
    "exceeded. How external examinations count is not settled here: they stand beside and are not "
    "added.",
    where="Measures",
    source="National Association of Medical Examiners, Forensic Autopsy Performance Standards "
    "(2016 text), B4; number and title seen in its contents, the figures: source not checked",
)
ESTIMATE = statement(
    "measures.estimate",
    "The estimate counts each open report for as long as it has been open. It assumes that reports "
    "of recent cases are finished as those of earlier ones were.",
    where="Measures",
    source="Kaplan EL, Meier P, J Am Stat Assoc 1958;53:457-481",
)


@dataclass(frozen=True)
class Period:
    """The days in which what is measured began, both ends counted."""

    key: str
    first: date
    last: date
    is_over: bool = True

    @property
    def words(self) -> str:
        """From which day through which."""
        return f"{day_words(self.first)} through {day_words(self.last)}"


LAST_TWELVE_MONTHS = "12-months"


def period_of(key: str, today: date) -> Period:
    """Return the period that is asked for: a year as it is written, or else the last 12 months."""
    if len(key) == 4 and key.isascii() and key.isdecimal() and 1900 <= int(key) <= today.year:
        year = int(key)
        last = date(year, 12, 31)
        return Period(key, date(year, 1, 1), min(last, today), last < today)
    return Period(LAST_TWELVE_MONTHS, year_before(today) + timedelta(days=1), today)


def year_before(day: date) -> date:
    """Return the same day a year earlier; of February 29 the last of that February."""
    try:
        return day.replace(year=day.year - 1)
    except ValueError:
        return day.replace(year=day.year - 1, day=28)


def day_of(moment: datetime, zone: tzinfo) -> date:
    """Return the office's day of a moment."""
    return moment.astimezone(zone).date()


def day_words(day: date) -> str:
    """Return a day as it is read: 4 Mar 2026."""
    return f"{day.day} {day:%b %Y}"


def days_words(days: int) -> str:
    """Return a number of days: 1 day, 41 days."""
    return "1 day" if days == 1 else f"{days:,} days"


def age_words(days: int) -> str:
    """Return since when something waits: today, 1 day, 41 days."""
    return "today" if days <= 0 else days_words(days)


def share_words(part: int, of: int) -> str:
    """Return a part of a whole; with a percentage only where the whole is large enough."""
    if not of:
        return "none"
    words = f"{part:,} of {of:,}"
    return words if of < FEWEST_FOR_PERCENT else f"{words} ({percent(part / of)})"


def percent(share: float) -> str:
    """Return a share in whole percent; only nothing is 0% and only all is 100%."""
    whole = round(share * 100)
    if 0 < share < 1:
        whole = min(max(whole, 1), 99)
    return f"{whole}%"


class Load(StrEnum):
    """How a pathologist's year compares with the recommendation."""

    WITHIN = "within the recommendation"
    ABOVE = "above 250"
    FAR_ABOVE = "above 325"


def load_of(autopsies: int) -> Load:
    """Compare a number of autopsies of one year with the recommendation and with the limit."""
    if autopsies > LIMIT_A_YEAR:
        return Load.FAR_ABOVE
    return Load.ABOVE if autopsies > RECOMMENDED_A_YEAR else Load.WITHIN


def age_groups() -> list[tuple[str, str]]:
    """Return the groups of ages: key and words."""
    firsts = (0, *(end + 1 for end in AGE_ENDS))
    ends = [f"{first} to {end} days" for first, end in zip(firsts, AGE_ENDS, strict=False)]
    keys = [f"to-{end}" for end in AGE_ENDS]
    return [*zip(keys, ends, strict=True), ("over", f"over {AGE_ENDS[-1]} days")]


def age_group(days: int) -> str:
    """Return the key of the group to which an age belongs."""
    return next((f"to-{end}" for end in AGE_ENDS if days <= end), "over")
