"""Days and times of day as people type them: each is read one way, or refused in words.

The month comes first, the year has four digits, and the hour says which half of the day it is in.
Words such as "today" are not read: a draft that is sent tomorrow would mean another day.
`as_typed.js` of the shell says the same in the browser; `tests/shell/as_typed.json` holds both.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, datetime, time

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
MONTH_NUMBERS = {
    name: number
    for number, month in enumerate(MONTHS, 1)
    for name in (month.lower(), month[:3].lower())
} | {"sept": 9}
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
FIRST_YEAR, LAST_YEAR = 1000, 2999

DAY_FORM, TIME_FORM = "MM/DD/YYYY", "HH:MM"
NO_DAY, NO_CLOCK = "Add the date.", "Add the time."
WRITE_DAY = "Write the date as 11/29/2026."
WRITE_CLOCK = "Write the time as 14:05 or 2:05 PM."
FOUR_DIGITS = "Write all four digits of the year."

_BLANKS = re.compile(r"[ \t\u00a0\u202f]+")
_NUMBERS = re.compile(r"([0-9]{1,2})([/-])([0-9]{1,2})\2([0-9]+)")
_YEAR_FIRST = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.? ?([0-9]{1,2})(?:, ?| )([0-9]+)")
_DAY_FIRST = re.compile(r"([0-9]{1,2})[ -]?([a-z]{3,9})\.?,?[ -]?([0-9]+)")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?(?: ?([ap])\.?m\.?)?")
_FOUR_FIGURES = re.compile(r"([0-9]{2})([0-9]{2})")
_HOUR = re.compile(r"([0-9]{1,2}) ?([ap])\.?m\.?")
_WHOLE = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ]([0-9]{2}:[0-9]{2}(?::[0-9]{2})?)")


class NotRead(ValueError):
    """What was typed is no day or no time; `part` is the field to go to."""

    def __init__(self, words: str, part: str = "day") -> None:
        super().__init__(words)
        self.words, self.part = words, part


@dataclass(frozen=True)
class Clock:
    """A time of day, with its second where one was typed."""

    hour: int
    minute: int
    second: int | None = None

    @property
    def time(self) -> time:
        """The time of day."""
        return time(self.hour, self.minute, self.second or 0)

    def __str__(self) -> str:
        second = "" if self.second is None else f":{self.second:02}"
        return f"{self.hour:02}:{self.minute:02}{second}"


def read_day(text: str) -> date:
    """The day that was typed. Raises NotRead."""
    said = _plain(text)
    if found := _NUMBERS.fullmatch(said):
        month, _, day, year = found.groups()
        return _day(year, int(month), int(day))
    if found := _YEAR_FIRST.fullmatch(said):
        year, month, day = found.groups()
        return _day(year, int(month), int(day))
    if found := _MONTH_FIRST.fullmatch(said):
        name, day, year = found.groups()
        return _day(year, _month(name), int(day))
    if found := _DAY_FIRST.fullmatch(said):
        day, name, year = found.groups()
        return _day(year, _month(name), int(day))
    raise NotRead(WRITE_DAY)


def read_clock(text: str) -> Clock:
    """The time of day that was typed. Raises NotRead."""
    said = _plain(text)
    if found := _CLOCK.fullmatch(said):
        hour, minute, second, half = found.groups()
        made = _checked(int(hour), int(minute), None if second is None else int(second))
        if half:
            return _of_half(made, half)
        if len(hour) == 1:
            raise NotRead(_which_half(made), "time")
        return made
    if found := _FOUR_FIGURES.fullmatch(said):
        hour, minute = found.groups()
        return _checked(int(hour), int(minute), None)
    if found := _HOUR.fullmatch(said):
        hour, half = found.groups()
        return _of_half(_checked(int(hour), 0, None), half)
    raise NotRead(WRITE_CLOCK, "time")


def read_moment(day: str, clock: str) -> tuple[date, Clock]:
    """The day and the time that were typed into two fields, or both into the first.

    Raises NotRead, also where one of the two is missing; nothing typed at all is no moment either.
    """
    if not _plain(clock):
        day, clock = split(day)
    if not _plain(day):
        raise NotRead(NO_DAY)
    read = read_day(day)
    if not _plain(clock):
        raise NotRead(NO_CLOCK, "time")
    return read, read_clock(clock)


def split(text: str) -> tuple[str, str]:
    """A day and time written as one (ISO 8601) as two texts; any other text is the day's."""
    found = _WHOLE.fullmatch(_plain(text))
    return (found[1], found[2]) if found else (text, "")


def day_face(day: date) -> str:
    """A day as it stands in its field: 03/04/2026."""
    return f"{day.month:02}/{day.day:02}/{day.year:04}"


def day_words(day: date) -> str:
    """A day read back so that a wrong reading is seen: Wednesday, March 4, 2026."""
    return f"{WEEKDAYS[day.weekday()]}, {MONTHS[day.month - 1]} {day.day}, {day.year}"


def face(day: date, clock: Clock) -> datetime:
    """What calendar and clock show together."""
    return datetime.combine(day, clock.time)


def _plain(text: str) -> str:
    return _BLANKS.sub(" ", text).strip(" ").lower()


def _month(name: str) -> int:
    if name not in MONTH_NUMBERS:
        raise NotRead(WRITE_DAY)
    return MONTH_NUMBERS[name]


def _day(year_text: str, month: int, day: int) -> date:
    if len(year_text) == 2:
        raise NotRead(FOUR_DIGITS)
    year = int(year_text) if len(year_text) == 4 else 0
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise NotRead("Check the year.")
    if month > 12 and _is_day(year, day, month):
        raise NotRead(f"Month first: {day:02}/{month:02}/{year}.")
    if not 1 <= month <= 12:
        raise NotRead(f"There is no month {month}.")
    if not _is_day(year, month, day):
        raise NotRead(f"{MONTHS[month - 1]} {year} has {monthrange(year, month)[1]} days.")
    return date(year, month, day)


def _is_day(year: int, month: int, day: int) -> bool:
    return 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]


def _checked(hour: int, minute: int, second: int | None) -> Clock:
    if hour == 24:
        raise NotRead("Midnight is 00:00.", "time")
    if hour > 24:
        raise NotRead(f"There is no hour {hour}.", "time")
    if minute > 59:
        raise NotRead("Minutes go from 00 to 59.", "time")
    if second is not None and second > 59:
        raise NotRead("Seconds go from 00 to 59.", "time")
    return Clock(hour, minute, second)


def _of_half(clock: Clock, half: str) -> Clock:
    if not 1 <= clock.hour <= 12:
        raise NotRead(f"{clock} needs no AM or PM.", "time")
    if clock.hour == 12 and clock.minute == 0:
        # Noon to some and midnight to others.
        raise NotRead("Write 12:00 for noon, 00:00 for midnight.", "time")
    hour = clock.hour % 12 + (12 if half == "p" else 0)
    return Clock(hour, clock.minute, clock.second)


def _which_half(clock: Clock) -> str:
    if clock.hour == 0:
        return f"Write {clock}."
    later = Clock(clock.hour + 12, clock.minute, clock.second)
    return f"Write {clock} or {later}, or add AM or PM."
