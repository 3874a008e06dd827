"""What the words in the search box can mean. No database, no clock."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, datetime

LONGEST = 120
# "2026-0412", "ME-2026-0412", "2026-", "412": letters, a year, a running number.
_NUMBER = re.compile(
    r"^(?:[a-z]{1,8}-?)?(?:(?P<year>(?:19|20)\d\d)-)?(?P<running>\d{1,6})?$", re.IGNORECASE
)
_DAY_FORMATS = ("%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d %Y", "%Y-%m-%d", "%m/%d/%Y")
_MONTH_FORMATS = ("%b %Y", "%B %Y", "%Y-%m")
_DAY_IN_YEAR_FORMATS = ("%d %b", "%d %B", "%b %d", "%B %d")
_EUROPEAN = re.compile(r"^(\d{1,2})\.(\d{1,2})\.(\d{4})$")


@dataclass(frozen=True)
class NumberMeant:
    """A case number as far as it was typed: the year, the running number, or both."""

    year: int | None = None
    running: str = ""

    @property
    def is_whole(self) -> bool:
        """Tell whether it names one case: year and running number."""
        return self.year is not None and bool(self.running)

    @property
    def printed(self) -> str:
        """The running number as it stands at the end of a printed number: -0412."""
        return f"-{int(self.running):04d}" if self.running else ""


@dataclass(frozen=True)
class SearchTerms:
    """What was typed, as a number, as days and as words; empty parts do not apply."""

    text: str
    number: NumberMeant | None = None
    first_day: date | None = None
    last_day: date | None = None
    words: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Tell whether there is nothing to look for."""
        return not self.text


def read_search(typed: str, today: date) -> SearchTerms:
    """Read what was typed: "2026-0412", "412", "14 Nov 2026", "Halsted", "mill road"."""
    text = " ".join("".join(c if c.isprintable() else " " for c in typed).split())[:LONGEST]
    if not text:
        return SearchTerms("")
    days = days_meant(text, today)
    number = number_meant(text)
    words = () if days and not number else tuple(text.upper().split())
    first, last = days or (None, None)
    return SearchTerms(text, number, first, last, words)


def number_meant(text: str) -> NumberMeant | None:
    """Return the case number that a text is, whole or in part, or None."""
    read = _NUMBER.match(text)
    if read is None or not (read["year"] or read["running"]):
        return None
    year = int(read["year"]) if read["year"] else None
    return NumberMeant(year, read["running"] or "")


def days_meant(text: str, today: date) -> tuple[date, date] | None:
    """Return the first and the last day that a text names, or None.

    Reads day, month and year in the orders common here, a month, a day without its year (the
    latest that has been), and "today" and "yesterday".
    """
    plain = re.sub(r"[,.](?=\s|$)", "", text.lower()).replace("sept ", "sep ")
    if plain in {"today", "yesterday"}:
        day = today if plain == "today" else date.fromordinal(today.toordinal() - 1)
        return day, day
    european = _EUROPEAN.match(plain)
    if european:
        plain = "{2}-{1}-{0}".format(*european.groups())
    day_read = _read(plain, _DAY_FORMATS)
    if day_read:
        return day_read, day_read
    month = _read(plain, _MONTH_FORMATS)
    if month:
        return month, month.replace(day=monthrange(month.year, month.month)[1])
    return _latest(plain, today)


def _latest(plain: str, today: date) -> tuple[date, date] | None:
    formats = tuple(f"{one} %Y" for one in _DAY_IN_YEAR_FORMATS)
    for year in range(today.year, today.year - 5, -1):
        day = _read(f"{plain} {year}", formats)
        if day and day <= today:
            return day, day
    return None


def _read(plain: str, formats: tuple[str, ...]) -> date | None:
    for one in formats:
        try:
            day = datetime.strptime(plain, one).date()
        except ValueError:
            continue
        if 1900 <= day.year <= 2200:
            return day
    return None
