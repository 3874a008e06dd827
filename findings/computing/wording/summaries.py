"""What a result says, and the small words every method uses. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Table:
    """A small table of a result."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Answered:
    """A result with its inputs, when they were measured, and the zone in which times are told."""

    result: Mapping[str, Any]
    inputs: Mapping[str, object]
    measured_at: datetime | None
    zone: ZoneInfo


@dataclass(frozen=True)
class Summary:
    """One result: the headline, its interval, clock times, further lines and tables.

    When the method refuses there is no headline; `minimum` is the one thing it may still say.
    """

    headline: str = ""
    interval: str = ""
    clock: str = ""
    minimum: str = ""
    lines: tuple[tuple[str, str], ...] = ()
    tables: tuple[Table, ...] = field(default=())


def number(value: object) -> float | None:
    """A number out of a plain result, or None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value)


def hours(value: object) -> str:
    """Hours to a tenth."""
    found = number(value)
    return "open" if found is None else f"{found:.1f} h"


def hours_span(low: Any, high: Any) -> str:
    """Two ends in hours to a tenth: 11.5 to 17.1 h."""
    return f"{hours(low).removesuffix(' h')} to {hours(high)}"


def whole_degrees(value: object, uncertainty: Any = None) -> str:
    """An angle to the whole degree, with its uncertainty rounded up to at least one."""
    found = number(value)
    if found is None:
        return "not defined"
    u = number(uncertainty)
    return f"{found:.0f}°" if u is None else f"{found:.0f}° ± {max(round(u), 1)}°"


def plain(value: object, digits: int = 1) -> str:
    """A number without trailing zeros."""
    found = number(value)
    if found is None:
        return "not known"
    text = f"{found:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def clock_words(moment: datetime, zone: ZoneInfo) -> str:
    """A moment in the office's zone: 14 Nov 2026, 03:24 EST."""
    try:
        return moment.astimezone(zone).strftime("%d %b %Y, %H:%M %Z").lstrip("0")
    except (OverflowError, ValueError):
        return moment.isoformat(timespec="minutes")


def iso_words(value: object, zone: ZoneInfo, missing: str = "open") -> str:
    """A moment written in ISO form, in the office's zone; one without a zone as it was given."""
    if not isinstance(value, str):
        return missing
    try:
        moment = datetime.fromisoformat(value)
    except ValueError:
        return value
    if moment.tzinfo is None:
        return moment.strftime("%d %b %Y, %H:%M").lstrip("0")
    return clock_words(moment, zone)


def _counted_back(
    measured_at: datetime | None, low_h: Any, high_h: Any
) -> tuple[datetime, datetime] | None:
    """Earliest and latest moment of a span of hours before a measurement."""
    low, high = number(low_h), number(high_h)
    if measured_at is None or low is None or high is None:
        return None
    try:
        start = measured_at.astimezone(UTC) - timedelta(hours=high)
        end = measured_at.astimezone(UTC) - timedelta(hours=low)
    except OverflowError:
        return None
    return start, end


def span_words(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    """Two moments as people say them: the day once when it is the same day."""
    first, last = clock_words(start, zone), clock_words(end, zone)
    try:
        here, there = start.astimezone(zone), end.astimezone(zone)
    except (OverflowError, ValueError):
        return f"between {first} and {last}"
    if here.date() == there.date() and here.tzname() == there.tzname():
        return f"between {first.rsplit(' ', 1)[0]} and {there:%H:%M %Z}"
    return f"between {first} and {last}"


def clock_sentence(measured_at: datetime | None, low_h: Any, high_h: Any, zone: ZoneInfo) -> str:
    """'That is between ... and ...', or nothing when the moment of measurement is not known."""
    span = _counted_back(measured_at, low_h, high_h)
    return f"That is {span_words(*span, zone)}." if span else ""


def first_small(words: str) -> str:
    """Words that begin small, as inside a sentence."""
    return words[:1].lower() + words[1:]
